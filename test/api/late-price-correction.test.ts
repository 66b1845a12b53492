/*
 * A price that is put right after its period was closed: every report of the period in which that is posted tells it as
 * a correction of earlier days, with its amount. Twenty tons at 150.00, of which a herd ate ten before the closing;
 * right is 160.00. So 10 × 10.00 is the correction of what was eaten, and as much that of what is still here. By hand,
 * with the receipt as it should have been: ten tons at 160.00 on hand.
 */
import { COSTING_METHODS } from '../../src/core/stock/costing-entries.js';
import { lateCost, net } from '../support/books.js';
import { type Operation, operationWith } from '../support/people.js';
import { feeding, feedingBody, herd, lot, purchaseBody, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Money {
  amount: string;
}
interface Worth {
  quantity: { value: string };
  value: Money;
}
interface Corrected {
  entry: WithId;
}
interface SeasonRow {
  totalCost: Money;
  lateCosts: Money;
  totalWithLateCosts: Money;
  corrections: Money;
  fed: { value: string };
  eaten: { value: string } | null;
}
interface Season {
  total: SeasonRow;
  rows: SeasonRow[];
  correctionsOfEarlier: { what: string; of: string; on: string; hayKind: string; amount: Money; herdId: string }[];
}
interface TieOut {
  months: { differences: string[] }[];
}
interface Budget {
  lines: { line: string; actual: Money }[];
  correctionsOfEarlier: { line: string; amount: Money }[];
}

let world: World;
beforeAll(async () => {
  world = await openWorld();
});
afterAll(() => world.close());

const DECEMBER = { from: '2026-12-01', until: '2026-12-31' };

interface Books {
  operation: Operation;
  herdId: string;
  ranchId: string;
  lotId: string;
  purchaseId: string;
  feedingId: string;
}

/** Closed through November. */
async function books(method: string): Promise<Books> {
  const operation = await operationWith(world);
  const { owner, accountant } = operation.as;
  const { headers } = await owner.get(operation.at(''), { expect: 200 });
  await owner.patch(operation.at(''), { costingMethod: method }, { ifMatch: headers['etag'] ?? '', expect: 200 });
  const ranchId = await ranch(operation);
  const herdId = await herd(operation, ranchId);
  const { lotId, purchaseId } = await lot(operation, ranchId, { tons: '20', purchasedOn: '2026-11-05' });
  const feedingId = await feeding(operation, herdId, [[lotId, '20000']], { fedOn: '2026-11-20' });
  await accountant.post(operation.at('/closings'), { until: '2026-11-30' }, { expect: 201 });
  return { operation, herdId, ranchId, lotId, purchaseId, feedingId };
}

const priceOf = (amount: string): object => ({ price: { basis: 'per-mass', amount, per: 'ton' } });

async function putRight({ operation, ranchId, lotId }: Books, purchaseId: string, amount: string): Promise<string> {
  const { body } = await operation.as.manager.post<Corrected>(
    operation.at(`/hay-purchases/${purchaseId}/correction`),
    {
      reason: 'The bill says so',
      entry: purchaseBody(ranchId, {
        lot: { id: lotId },
        purchasedOn: '2026-11-05',
        postTo: 'open-period',
        weight: net('20'),
        ...priceOf(amount),
      }),
    },
    { expect: 201 },
  );
  return body.entry.id;
}

async function told<Answer>({ operation }: Books, path: string, query: Record<string, string>): Promise<Answer> {
  return (await operation.as.accountant.get<Answer>(operation.at(`/reports/${path}`), { query, expect: 200 })).body;
}
const rolled = async (of: Books, query: Record<string, string> = DECEMBER): Promise<Record<string, Worth>> => {
  const { total } = await told<{ total: { flows: Record<string, Worth>; opening: Worth; closing: Worth } }>(
    of,
    'inventory-roll-forward',
    query,
  );
  return { ...total.flows, opening: total.opening, closing: total.closing };
};

interface Closeout {
  lines: { line: string; entries: object[] }[];
}
const closeoutOf = async ({ operation, herdId }: Books): Promise<Closeout> =>
  (
    await operation.as.accountant.get<Closeout>(operation.at(`/herds/${herdId}/closeout`), {
      query: DECEMBER,
      expect: 200,
    })
  ).body;

describe.each(COSTING_METHODS)('a price of a closed period that is put right late, under %s', (method) => {
  let of: Books;
  let ticketId: string;
  beforeAll(async () => {
    of = await books(method);
    ticketId = await putRight(of, of.purchaseId, '160');
  });

  it('is a correction in the roll-forward, in money alone, and nothing was bought', async () => {
    const { bought, correction, closing } = await rolled(of);
    expect([bought?.quantity.value, bought?.value.amount]).toEqual(['0', '0.00']);
    expect([correction?.quantity.value, correction?.value.amount]).toEqual(['0', '100.00']);
    expect(closing?.value.amount).toBe('1600.00');
  });

  it('is a correction in season cost, with its amount and its day, and no late cost', async () => {
    const { total, rows, correctionsOfEarlier } = await told<Season>(of, 'season-cost', DECEMBER);
    for (const row of [total, ...rows])
      expect([row.totalCost, row.lateCosts, row.corrections].map(({ amount }) => amount)).toEqual([
        '0.00',
        '0.00',
        '100.00',
      ]);
    expect(correctionsOfEarlier).toMatchObject([
      { what: 'hay-cost', of: '2026-11-05', on: '2026-12-01', hayKind: 'meadow', herdId: of.herdId },
    ]);
    expect(correctionsOfEarlier[0]?.amount.amount).toBe('100.00');
  });

  it('is a correction in the money budget', async () => {
    const { lines, correctionsOfEarlier } = await told<Budget>(of, 'budget-against-actual', {
      from: '2026-12',
      until: '2026-12',
    });
    expect(lines.find(({ line }) => line === 'late-costs')).toBeUndefined();
    expect(correctionsOfEarlier.map(({ line, amount }) => [line, amount.amount])).toEqual([['hay', '100.00']]);
  });

  it('is what late costs are where the report begins before the receipt', async () => {
    const { total, correctionsOfEarlier } = await told<Season>(of, 'season-cost', {
      from: '2026-11-01',
      until: '2026-12-31',
    });
    expect(
      [total.totalCost, total.lateCosts, total.totalWithLateCosts, total.corrections].map(({ amount }) => amount),
    ).toEqual(['1500.00', '100.00', '1600.00', '0.00']);
    expect(correctionsOfEarlier).toEqual([]);
  });

  it('ties, and a later bill of the right ticket is borne by who ate of its hay', async () => {
    const ties = async (): Promise<string[]> =>
      (await told<TieOut>(of, 'tie-out', DECEMBER)).months.flatMap(({ differences }) => differences);
    expect(await ties()).toEqual([]);
    await lateCost(of.operation, { kind: 'hay-purchase', id: ticketId }, { billedOn: '2026-12-20', amount: '90' });
    const { total } = await told<Season>(of, 'season-cost', DECEMBER);
    // Ten of the twenty tons were eaten, in November.
    expect([total.lateCosts.amount, total.corrections.amount]).toEqual(['45.00', '100.00']);
    expect(await ties()).toEqual([]);
  });
});

describe('what is put right late', () => {
  it('twice, is held against the first record', async () => {
    const of = await books('fifo');
    await putRight(of, await putRight(of, of.purchaseId, '160'), '170');
    const { bought, correction } = await rolled(of);
    expect([bought?.value.amount, correction?.quantity.value, correction?.value.amount]).toEqual([
      '0.00',
      '0',
      '200.00',
    ]);
    const { total } = await told<Season>(of, 'season-cost', DECEMBER);
    expect([total.lateCosts.amount, total.corrections.amount]).toEqual(['0.00', '200.00']);
  });

  it('of a feeding is a correction in hay and money, in season cost and in the roll-forward', async () => {
    const of = await books('fifo');
    await of.operation.as.manager.post(
      of.operation.at(`/feedings/${of.feedingId}/correction`),
      {
        reason: 'Nine tons',
        entry: feedingBody(of.herdId, [[of.lotId, '18000']], { fedOn: '2026-11-20', postTo: 'open-period' }),
      },
      { expect: 201 },
    );
    const { total, correctionsOfEarlier } = await told<Season>(of, 'season-cost', DECEMBER);
    expect([total.fed.value, total.totalCost.amount, total.corrections.amount]).toEqual(['0', '0.00', '-150.00']);
    expect(correctionsOfEarlier.map(({ what, amount }) => [what, amount.amount])).toEqual([
      ['feeding', '-1500.00'],
      ['feeding', '1350.00'],
    ]);
    const { lines } = await closeoutOf(of);
    expect(lines.filter(({ line }) => line === 'hay').flatMap(({ entries }) => entries)).toEqual([]);
    const { fed, correction } = await rolled(of);
    expect([fed?.value.amount, correction?.quantity.value, correction?.value.amount]).toEqual(['0.00', '1', '150.00']);
  });

  it('of a feeding takes its waste along', async () => {
    const of = await books('fifo');
    const waste = (value: string): object => ({ wasted: { value, unit: 'lb' } });
    await feeding(of.operation, of.herdId, [[of.lotId, '6000']], { fedOn: '2026-12-10', ...waste('500') });
    const fed = async (): Promise<(string | undefined)[]> => {
      const { total } = await told<Season>(of, 'season-cost', DECEMBER);
      return [total.fed.value, total.eaten?.value];
    };
    expect(await fed()).toEqual(['3', '2.75']);
    await of.operation.as.manager.post(
      of.operation.at(`/feedings/${of.feedingId}/correction`),
      {
        reason: 'Some of it was wasted',
        entry: feedingBody(of.herdId, [[of.lotId, '20000']], {
          ...{ fedOn: '2026-11-20', postTo: 'open-period' },
          ...waste('200'),
        }),
      },
      { expect: 201 },
    );
    expect(await fed()).toEqual(['3', '2.75']);
  });

  it('of a bill is a correction too', async () => {
    const of = await books('fifo');
    const { operation, purchaseId } = of;
    const receipt = { kind: 'hay-purchase', id: purchaseId };
    const bill = await lateCost(operation, receipt, { billedOn: '2026-12-20', amount: '50' });
    await operation.as.accountant.post(operation.at('/closings'), { until: '2026-12-31' }, { expect: 201 });
    const entry = { receipt, billedOn: '2026-12-20', owed: 'freight', biller: 'A hauler', amount: '90' };
    await operation.as.manager.post(
      operation.at(`/late-costs/${bill.id}/correction`),
      { reason: 'Read wrongly', entry: { ...entry, postTo: 'open-period' } },
      { expect: 201 },
    );
    const JANUARY = { from: '2027-01-01', until: '2027-01-14' };
    const { total } = await told<Season>(of, 'season-cost', JANUARY);
    expect([total.lateCosts.amount, total.corrections.amount]).toEqual(['0.00', '20.00']);
    const { 'late-cost': late, correction } = await rolled(of, JANUARY);
    expect([late?.value.amount, correction?.value.amount]).toEqual(['0.00', '20.00']);
  });

  it('while a bill that is new stays a late cost', async () => {
    const of = await books('fifo');
    await lateCost(of.operation, { kind: 'hay-purchase', id: of.purchaseId }, { billedOn: '2026-12-20', amount: '50' });
    const { total } = await told<Season>(of, 'season-cost', DECEMBER);
    expect([total.lateCosts.amount, total.corrections.amount]).toEqual(['25.00', '0.00']);
    const { correction, 'late-cost': late } = await rolled(of);
    expect([late?.value.amount, correction?.value.amount]).toEqual(['25.00', '0.00']);
  });
});
