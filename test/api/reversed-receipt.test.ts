/*
 * A ticket entered by mistake and reversed leaves what hay costs as if it had never come, whenever it is reversed and
 * whatever came since. Two operations enter the same truth, one of them with the mistake. In a closed period what was
 * charged stays, and the answer says so.
 */
import { lump, net } from '../support/books.js';
import { type Operation, operationWith } from '../support/people.js';
import { feedingBody, herd, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Position {
  lots: { hayLot: string; quantity: { value: string }; value: { amount: string } }[];
  total: { value: { amount: string } };
  reconciliation: Record<'received' | 'drawn' | 'onHand', { value: string }> &
    Record<'valueReceived' | 'valueDrawn' | 'valueOnHand', { amount: string }>;
}

let world: World;
beforeAll(async () => {
  world = await openWorld();
});
afterAll(async () => {
  await world.close();
});

const METHODS = ['specific-lot', 'moving-average', 'fifo'] as const;

async function operationUnder(
  costingMethod: string,
): Promise<{ operation: Operation; ranchId: string; herdId: string }> {
  const operation = await operationWith(world);
  const now = await operation.as.owner.get(operation.at(''), { expect: 200 });
  const ifMatch = now.headers['etag'] ?? '';
  await operation.as.owner.patch(operation.at(''), { costingMethod }, { ifMatch, expect: 200 });
  const ranchId = await ranch(operation);
  return { operation, ranchId, herdId: await herd(operation, ranchId) };
}
const position = async (operation: Operation, on = '2027-01-15'): Promise<Position> =>
  (await operation.as.accountant.get<Position>(operation.at('/reports/hay-position'), { query: { on }, expect: 200 }))
    .body;
const feed = async (operation: Operation, herdId: string, lotId: string, fedOn: string): Promise<string> =>
  (
    await operation.as.manager.post<WithId>(
      operation.at('/feedings'),
      feedingBody(herdId, [[lotId, '2000']], { fedOn }),
      { expect: 201 },
    )
  ).body.id;

/** Hay of 10 tons, 2 fed, 10 tons more into the same lot, 1 fed; with 10 dear tons typed by mistake after the first. */
async function winter(method: string, mistaken: boolean) {
  const { operation, ranchId, herdId } = await operationUnder(method);
  const { lotId } = await lot(operation, ranchId, { name: 'Stack', tons: '10', price: lump('1000') });
  const more = async (purchasedOn: string, amount: string): Promise<string> =>
    (await lot(operation, ranchId, { lot: { id: lotId }, purchasedOn, weight: net('10'), price: lump(amount) }))
      .purchaseId;
  const mistake = mistaken ? await more('2026-11-02', '3000') : undefined;
  await feed(operation, herdId, lotId, '2026-12-03');
  await feed(operation, herdId, lotId, '2026-12-04');
  await more('2026-12-20', '2000');
  const after = async (): Promise<void> => {
    await feed(operation, herdId, lotId, '2027-01-12');
  };
  return { operation, mistake, after, herdId, lotId };
}

describe.each(METHODS)('%s: a ticket typed by mistake', (method) => {
  it.each([
    ['on its own day', undefined],
    ['on a later day, after other hay came', '2027-01-10'],
  ] as const)('reversed %s leaves nothing behind', async (_, effectiveOn) => {
    const [never, with1] = [await winter(method, false), await winter(method, true)];
    const undone = await with1.operation.as.manager.post(
      with1.operation.at(`/hay-purchases/${with1.mistake ?? ''}/reversal`),
      { reason: 'Typed twice', ...(effectiveOn === undefined ? {} : { effectiveOn }) },
      { expect: 201 },
    );
    expect(undone.body).toMatchObject({
      costsCharged: effectiveOn === undefined ? null : { from: '2026-11-02', until: effectiveOn },
    });
    await never.after();
    await with1.after();
    const [one, other] = [await position(never.operation), await position(with1.operation)];
    const of = ({ lots, total }: Position) => ({
      total,
      lots: lots.map(({ quantity, value }) => ({ quantity, value })),
    });
    expect(of(other)).toEqual(of(one));
    // 17 tons: under FIFO 7 at 100 and 10 at 200; blended, 8 at 100 and 10 at 200, a ton of it fed at the mean.
    expect(one.total.value.amount).toBe(method === 'fifo' ? '2700.00' : '2644.44');
    expect(other.reconciliation.received).toEqual(one.reconciliation.received);
    expect(other.reconciliation.drawn).toEqual(one.reconciliation.drawn);
  });

  it('in a closed period: what was charged stays, as the answer says; the rest is as if it never came', async () => {
    const [never, with1] = [await winter(method, false), await winter(method, true)];
    for (const { operation } of [never, with1])
      await operation.as.accountant.post(operation.at('/closings'), { until: '2026-12-31' }, { expect: 201 });
    const undone = await with1.operation.as.manager.post<{ effectiveOn: string; costsCharged: { message: string } }>(
      with1.operation.at(`/hay-purchases/${with1.mistake ?? ''}/reversal`),
      { reason: 'Typed twice', postTo: 'open-period' },
      { expect: 201 },
    );
    expect(undone.body.effectiveOn).toBe('2027-01-01');
    expect(undone.body.costsCharged.message).toContain('from 2026-11-02 until 2027-01-01 keeps the cost');
    await never.after();
    await with1.after();
    expect((await position(with1.operation)).total).toEqual((await position(never.operation)).total);
  });
});

it('a feeding that never was has not brought hay', async () => {
  const { operation, herdId, lotId } = await winter('moving-average', false);
  const before = await position(operation);
  const fed = await feed(operation, herdId, lotId, '2027-01-05');
  await operation.as.manager.post(
    operation.at(`/feedings/${fed}/reversal`),
    { reason: 'Not fed', effectiveOn: '2027-01-06' },
    { expect: 201 },
  );
  // 20 tons came and 2 were fed; a reversed feeding is neither.
  const { reconciliation } = await position(operation);
  expect(reconciliation).toEqual(before.reconciliation);
  expect([reconciliation.received.value, reconciliation.drawn.value, reconciliation.onHand.value]).toEqual([
    '20',
    '2',
    '18',
  ]);
});
