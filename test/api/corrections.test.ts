/*
 * One call corrects an entry that later ones lean on: the right one comes in and the mistake goes out together, and the
 * books are those of a history that never had the mistake. Where only a reversal is asked for and refused, the problem
 * names the next step. Everything here is invented.
 */
import { harvest, sale } from '../support/books.js';
import { type Operation, operationWith } from '../support/people.js';
import { examples } from '../support/properties.js';
import { cows, feeding, feedingBody, lot, purchaseBody, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Books {
  operation: Operation;
  ranchId: string;
  cowsId: string;
  heifersId: string;
  meadow: string;
  other: string;
}
interface Corrected {
  correctedId: string;
  reversal: { id: string; reason: string };
  entry: WithId & { confirmed: { code: string }[]; heldCounts: { stockCountId: string }[] };
}

const usd = (amount: string) => ({ basis: 'per-mass', amount, per: 'ton' });
const net = (value: string) => ({ basis: 'net', net: { value, unit: 'ton' } });
const REASON = 'Typed wrong';

describe('corrections in one call', () => {
  let world: World;
  beforeAll(async () => {
    world = await openWorld();
  });
  afterAll(async () => {
    await world.close();
  });

  async function books(costingMethod: 'fifo' | 'moving-average' | 'specific-lot'): Promise<Books> {
    const operation = await operationWith(world, { costingMethod, roles: ['manager', 'accountant'] });
    const ranchId = await ranch(operation);
    const cowsId = await cows(operation, ranchId, { head: 60 });
    const heifersId = await cows(operation, ranchId, { name: 'Heifers', head: 40 });
    const { lotId: meadow } = await lot(operation, ranchId, { tons: '10', price: usd('100') });
    const { lotId: other } = await lot(operation, ranchId, { name: 'Other', tons: '30', price: usd('180') });
    return { operation, ranchId, cowsId, heifersId, meadow, other };
  }

  const post = async (operation: Operation, path: string, body: object): Promise<string> =>
    (await operation.as.manager.post<WithId>(operation.at(path), body, { expect: 201 })).body.id;

  /** What the books come to at the end, without ids and without what tells of the correction itself. */
  async function told({ operation, meadow, other, cowsId, heifersId }: Books): Promise<unknown> {
    const get = async <Body>(path: string, query: Record<string, string>): Promise<Body> =>
      (await operation.as.accountant.get<Body>(operation.at(path), { query, expect: 200 })).body;
    const names = new Map([
      [meadow, 'meadow'],
      [other, 'other'],
      [cowsId, 'cows'],
      [heifersId, 'heifers'],
    ]);
    const position = await get<{ lots: { hayLotId: string; quantity: unknown; value: unknown }[]; total: unknown }>(
      '/reports/hay-position',
      { on: '2027-01-15' },
    );
    const season = await get<{
      rows: { key: string; fed: unknown; totalCost: unknown }[];
      total: { totalCost: unknown };
    }>('/reports/season-cost', { from: '2026-11-01', until: '2027-01-15', by: 'herd' });
    return {
      lots: position.lots
        .filter((one) => names.has(one.hayLotId))
        .map((one) => [names.get(one.hayLotId), one.quantity, one.value])
        .sort(),
      total: position.total,
      herds: season.rows.map((row) => [names.get(row.key) ?? row.key, row.fed, row.totalCost]).sort(),
      cost: season.total.totalCost,
    };
  }

  const ticket = (more: object) => (of: Books) => purchaseBody(of.ranchId, { lot: { id: of.meadow }, ...more });
  const fed = (who: 'cowsId' | 'heifersId', which: 'meadow' | 'other', pounds: string) => (of: Books) =>
    feedingBody(of[who], [[of[which], pounds]], { fedOn: '2026-12-10' });
  const sold = (amount: string, tons: string) => (of: Books) => ({
    hayLotId: of.other,
    buyer: 'A neighbor',
    soldOn: '2026-12-05',
    quantity: { weight: { value: tons, unit: 'ton' } },
    price: usd(amount),
  });
  /** Part of the hay is fed and more is bought after the mistake. */
  const goOn = async ({ operation, cowsId, meadow, ranchId }: Books, pounds: string): Promise<void> => {
    for (const fedOn of ['2026-12-01', '2026-12-02', '2026-12-03'])
      await feeding(operation, cowsId, [[meadow, pounds]], { fedOn });
    await post(
      operation,
      '/hay-purchases',
      purchaseBody(ranchId, { lot: { id: meadow }, purchasedOn: '2026-12-04', price: usd('160') }),
    );
    await feeding(operation, cowsId, [[meadow, '1500']], { fedOn: '2026-12-06' });
  };

  const cases: [string, string, (of: Books) => object, (of: Books) => object][] = [
    ['a wrong price', '/hay-purchases', ticket({ price: usd('1450') }), ticket({ price: usd('145') })],
    ['a wrong weight', '/hay-purchases', ticket({ weight: net('20') }), ticket({ weight: net('24') })],
    ['a wrong day', '/hay-purchases', ticket({ purchasedOn: '2026-11-03' }), ticket({ purchasedOn: '2026-11-05' })],
    ['a wrong herd', '/feedings', fed('heifersId', 'other', '1500'), fed('cowsId', 'other', '1500')],
    ['a wrong lot', '/feedings', fed('cowsId', 'other', '1500'), fed('cowsId', 'meadow', '1500')],
    ['a wrong weight fed', '/feedings', fed('cowsId', 'other', '1500'), fed('cowsId', 'other', '1200')],
    ['a wrong price of a sale', '/hay-sales', sold('20', '2'), sold('200', '2')],
    ['a wrong weight of a sale', '/hay-sales', sold('200', '29'), sold('200', '2.9')],
  ];

  it.each(
    // Each mistake under one method in turn; a search asks all three of each.
    cases.flatMap(([what, path, wrong, right], index) =>
      (['fifo', 'moving-average', 'specific-lot'] as const)
        .filter((_, place) => examples(1) > 1 || place === index % 3)
        .map((method) => [what, method, path, wrong, right] as const),
    ),
  )('of %s, under %s: as if it had never been typed', async (_what, method, path, wrong, right) => {
    const [mistaken, true_] = [await books(method), await books(method)];
    // More than lay in the lot before the ticket, where it is of a ticket.
    const pounds = path === '/hay-purchases' ? '15000' : '3000';
    const id = await post(mistaken.operation, path, wrong(mistaken));
    await goOn(mistaken, pounds);
    const { operation } = mistaken;
    const answer = await operation.as.manager.post<Corrected>(
      operation.at(`${path}/${id}/correction`),
      { reason: REASON, entry: right(mistaken) },
      { expect: 201 },
    );
    expect(answer.body).toMatchObject({ correctedId: id, reversal: { reason: REASON } });
    expect(answer.headers['location']).toBe(operation.at(`${path}/${answer.body.entry.id}`));
    await post(true_.operation, path, right(true_));
    await goOn(true_, pounds);
    expect(await told(mistaken)).toEqual(await told(true_));
    const before = await operation.as.manager.get<{ reversal: { reason: string } }>(operation.at(`${path}/${id}`), {
      expect: 200,
    });
    expect(before.body.reversal.reason).toBe(REASON);
  });

  it('of a harvest, whose hay was fed', async () => {
    const of = await books('fifo');
    const { operation, cowsId, ranchId } = of;
    const raised = await harvest(operation, ranchId, { cost: usd('800') });
    await feeding(operation, cowsId, [[raised.hayLotId, '1500']], { fedOn: '2026-12-01' });
    const entry = {
      harvestedOn: '2026-07-10',
      lot: { id: raised.hayLotId },
      baleCount: 20,
      weight: net('12'),
      cost: usd('80'),
    };
    const answer = await operation.as.manager.post<Corrected>(
      operation.at(`/harvests/${raised.id}/correction`),
      { reason: REASON, entry },
      { expect: 201 },
    );
    const read = await operation.as.accountant.get<{ costOfProduction: { amount: string } }>(
      operation.at(`/harvests/${answer.body.entry.id}`),
      { expect: 200 },
    );
    expect(read.body.costOfProduction.amount).toBe('960.00');
  });

  it('names the next step where later entries lean on what is reversed', async () => {
    const { operation, cowsId, ranchId } = await books('fifo');
    const { lotId, purchaseId } = await lot(operation, ranchId, { name: 'Leaned on', tons: '2' });
    await feeding(operation, cowsId, [[lotId, '1500']], { fedOn: '2026-12-01' });
    const refused = await operation.as.manager.post<{ type: string; detail: string; errors: { allowed: string }[] }>(
      operation.at(`/hay-purchases/${purchaseId}/reversal`),
      { reason: REASON },
    );
    expect([refused.status, refused.body.type]).toEqual([409, '/problems/lot-short']);
    expect(refused.body.detail).toContain(`POST /hay-purchases/${purchaseId}/correction`);
    expect(refused.body.detail).toMatch(/reverse what was drawn from the lot/i);
  });

  it('saves nothing where the right entry is refused, and asks about the unlikely', async () => {
    const { operation, meadow, ranchId, ...rest } = await books('fifo');
    const id = await post(operation, '/hay-purchases', purchaseBody(ranchId, { lot: { id: meadow } }));
    const before = await told({ operation, meadow, ranchId, ...rest });
    const correct = (price: object, confirm?: string) =>
      operation.as.manager.post<Corrected & { type: string; errors: { pointer: string }[] }>(
        operation.at(`/hay-purchases/${id}/correction`),
        { reason: REASON, entry: purchaseBody(ranchId, { lot: { id: meadow }, price }) },
        confirm === undefined ? {} : { query: { confirm } },
      );
    const impossible = await correct(usd('290000'));
    expect([impossible.status, impossible.body.errors[0]?.pointer]).toEqual([422, '#/entry/price/amount']);
    const unlikely = await correct(usd('1500'));
    expect([unlikely.body.type, unlikely.body.errors[0]?.pointer]).toEqual([
      '/problems/confirm',
      '#/entry/price/amount',
    ]);
    expect(await told({ operation, meadow, ranchId, ...rest })).toEqual(before);
    const taken = await correct(usd('1500'), 'price-unusual');
    expect([taken.status, taken.body.entry.confirmed.map((one) => one.code)]).toEqual([201, ['price-unusual']]);
  });

  it('of feedings and reversals before a count tells which count is restated', async () => {
    const { operation, cowsId, other } = await books('fifo');
    const countId = await post(operation, '/stock-counts', {
      hayLotId: other,
      countedOn: '2026-12-20',
      counted: { weight: { value: '29', unit: 'ton' } },
      reason: 'Counted',
    });
    const late = await operation.as.manager.post<WithId & { heldCounts: { stockCountId: string }[] }>(
      operation.at('/feedings'),
      feedingBody(cowsId, [[other, '1500']], { fedOn: '2026-12-10' }),
      { expect: 201 },
    );
    expect(late.body.heldCounts.map((one) => one.stockCountId)).toEqual([countId]);
    const reversed = await operation.as.manager.post<{ heldCounts: { stockCountId: string }[] }>(
      operation.at(`/feedings/${late.body.id}/reversal`),
      { reason: REASON },
      { expect: 201 },
    );
    expect(reversed.body.heldCounts.map((one) => one.stockCountId)).toEqual([countId]);
    const soldThen = await sale(operation, other, { soldOn: '2026-12-05' });
    const back = await operation.as.manager.post<{ heldCounts: { stockCountId: string }[] }>(
      operation.at(`/hay-sales/${soldThen.id}/reversal`),
      { reason: REASON },
      { expect: 201 },
    );
    expect(back.body.heldCounts.map((one) => one.stockCountId)).toEqual([countId]);
  });
});
