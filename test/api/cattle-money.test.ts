/* What cattle cost and bring, and what they cost besides feed: typed, hidden from who sees no prices, reversed. */
import { type Operation, operationWith } from '../support/people.js';
import { herd, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Change extends WithId {
  herdId: string;
  kind: string;
  price: Record<string, unknown> | null;
}

let world: World;
let operation: Operation;
let [herdId, otherId] = ['', ''];
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  const ranchId = await ranch(operation);
  herdId = await herd(operation, ranchId, { head: 40 });
  otherId = await herd(operation, ranchId, { head: 0, name: 'Other calves' });
});
afterAll(() => world.close());

const at = (path = ''): string => operation.at(`/herds/${herdId}/head-changes${path}`);
const enter = async (body: object): Promise<Change> =>
  (await operation.as.manager.post<Change>(at(), { happenedOn: '2026-11-20', ...body }, { expect: 201 })).body;
const usd = (amount: string): object => ({ amount, currency: 'USD' });

describe('the price of a head change', () => {
  // Source: Harp, R. (slides), Stocker/Feedlot Example: 700 lb less 3 % shrink is 679 lb, at $0.90 $611.10.
  it('is worked out from head, weight and pencil shrink, and reads back as typed', async () => {
    const change = await enter({
      kind: 'in',
      head: 2,
      meanWeight: { value: '700', unit: 'lb' },
      price: { basis: 'per-mass', amount: '90.0', per: 'cwt', pencilShrinkPercent: '3.0', party: 'A neighbor' },
    });
    expect(change.price).toEqual({
      how: 'paid',
      basis: 'per-mass',
      amount: '90.0',
      per: 'cwt',
      pencilShrinkPercent: '3.0',
      payWeight: { value: '1358', unit: 'lb' },
      worth: usd('1222.20'),
      party: 'A neighbor',
    });
    const { body } = await operation.as.accountant.get<Change>(at(`/${change.id}`), { expect: 200 });
    expect(body.price).toEqual(change.price);
  });

  it('is not shown to who sees no prices, who may enter the head all the same', async () => {
    const { id } = await enter({ kind: 'sale', head: 1, price: { basis: 'per-head', amount: '1650' } });
    const { body } = await operation.as.hand.get<Change>(at(`/${id}`), { expect: 200 });
    expect(body.price).toBeNull();
  });

  it('can be told later, once, and not of what was reversed', async () => {
    const { id } = await enter({ kind: 'sale', head: 3 });
    const price = { price: { basis: 'lump-sum', amount: '4851.25', party: 'An auction' } };
    const { manager } = operation.as;
    const told = await manager.post<Change>(at(`/${id}/price`), price, { expect: 201 });
    expect(told.body.price).toMatchObject({ worth: usd('4851.25'), per: 'lot', payWeight: null });
    const again = await manager.post<{ detail: string }>(at(`/${id}/price`), price, { expect: 409 });
    expect(again.body.detail).toMatch(/has a price\. If that is wrong, correct the head change/);
    await manager.post(at(`/${id}/reversal`), { reason: 'Not sold' }, { expect: 201 });
    const other = await enter({ kind: 'sale', head: 3 });
    await manager.post(at(`/${other.id}/reversal`), { reason: 'Not sold' }, { expect: 201 });
    await manager.post(at(`/${other.id}/price`), price, { expect: 409 });
  });

  it('of a move is a stated value on both sides', async () => {
    const out = await enter({ kind: 'move', head: 4, toHerdId: otherId, price: { basis: 'per-head', amount: '1500' } });
    expect(out.price).toMatchObject({ how: 'valued', worth: usd('6000.00') });
    const there = await operation.as.manager.get<{ items: Change[] }>(operation.at(`/herds/${otherId}/head-changes`), {
      expect: 200,
    });
    expect(there.body.items).toEqual([expect.objectContaining({ kind: 'move-in', price: out.price })]);
    await operation.as.manager.post(
      at(),
      {
        kind: 'move',
        head: 1,
        toHerdId: otherId,
        happenedOn: '2026-11-20',
        price: { basis: 'per-head', amount: '1', how: 'paid' },
      },
      { expect: 422 },
    );
  });

  it.each([
    ['by weight without one', { basis: 'per-mass', amount: '2', per: 'lb' }, '#/meanWeight', 'weight-missing'],
    ['below zero', { basis: 'per-head', amount: '-2' }, '#/price/amount', 'custom'],
  ] as const)('is refused %s, and nothing is half-saved', async (_, price, pointer, code) => {
    const list = async (): Promise<number> =>
      (await operation.as.manager.get<{ items: Change[] }>(at(), { query: { limit: '100' }, expect: 200 })).body.items
        .length;
    const before = await list();
    const refused = await operation.as.manager.post<{ errors: object[] }>(
      at(),
      { kind: 'in', head: 1, happenedOn: '2026-11-20', price },
      { expect: code === 'custom' ? 400 : 422 },
    );
    expect(refused.body.errors).toEqual([expect.objectContaining({ pointer, code })]);
    expect(await list()).toBe(before);
  });
});

describe('the cost of a herd', () => {
  const cost = { kind: 'veterinary', happenedOn: '2026-12-01', payee: 'A veterinarian', amount: '480' };

  it('reads back as typed, is hidden from who sees no prices, and is reversed once', async () => {
    const { manager, hand } = operation.as;
    const made = await manager.post<WithId>(operation.at('/herd-costs'), { ...cost, herdId }, { expect: 201 });
    expect(made.body).toMatchObject({ amount: usd('480.00'), amountTyped: '480', reversal: null });
    const one = operation.at(`/herd-costs/${made.body.id}`);
    expect((await hand.get<object>(one, { expect: 200 })).body).toMatchObject({ amount: null, amountTyped: null });
    await hand.post(operation.at('/herd-costs'), { ...cost, herdId }, { expect: 403 });
    await manager.post(`${one}/reversal`, { reason: 'Another herd' }, { expect: 201 });
    await manager.post(`${one}/reversal`, { reason: 'Another herd' }, { expect: 409 });
    expect((await manager.get<object>(one, { expect: 200 })).body).toMatchObject({
      reversal: { reason: 'Another herd', effectiveOn: '2026-12-01' },
    });
  });

  it.each([['0'], ['0.00'], ['.0']])('of %s is none', async (amount) => {
    await operation.as.manager.post(operation.at('/herd-costs'), { ...cost, herdId, amount }, { expect: 400 });
  });
});

describe('a closed period', () => {
  it('takes no price, no cost and no reversal of one', async () => {
    const own = await operationWith(world);
    const ownHerd = await herd(own, await ranch(own), { head: 10 });
    const { items } = (
      await own.as.manager.get<{ items: WithId[] }>(own.at(`/herds/${ownHerd}/head-changes`), { expect: 200 })
    ).body;
    const cost = {
      herdId: ownHerd,
      kind: 'other',
      happenedOn: '2026-11-20',
      payee: 'A neighbor',
      amount: '10',
    };
    const made = await own.as.manager.post<WithId>(own.at('/herd-costs'), cost, { expect: 201 });
    await own.as.accountant.post(own.at('/closings'), { until: '2026-12-31' }, { expect: 201 });
    const price = { price: { basis: 'per-head', amount: '1500' } };
    await own.as.manager.post(own.at(`/herds/${ownHerd}/head-changes/${items[0]?.id ?? ''}/price`), price, {
      expect: 409,
    });
    await own.as.manager.post(own.at('/herd-costs'), cost, { expect: 409 });
    await own.as.manager.post(own.at(`/herd-costs/${made.body.id}/reversal`), { reason: 'No' }, { expect: 409 });
    // The database refuses it too, whoever writes.
    await expect(
      world.ownerPool.query(
        `INSERT INTO head_change_price (operation_id, head_change_id, happened_on, how, basis, price_value, price_unit,
          amount, currency, recorded_by)
         SELECT operation_id, id, happened_on, 'paid', 'lump-sum', '1', 'lot', 1, 'USD', recorded_by FROM head_change
          WHERE id = $1`,
        [items[0]?.id],
      ),
    ).rejects.toMatchObject({ code: 'RY005' });
  });
});
