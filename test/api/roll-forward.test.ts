/*
 * The inventory from one day to another over HTTP: it ties to the position at both ends, to the journal's hay account
 * between them and to the movements, by kind, lot and ranch, and through a closing. Farm price: 26 CFR 1.471-6(d), the
 * figures by hand.
 */
import { COSTING_METHODS } from '../../src/core/stock/costing-entries.js';
import { ROLL_FLOWS } from '../../src/core/stock/roll-forward.js';
import { count, harvest, lateCost, lump, net, sale, shrink, tons, transfer } from '../support/books.js';
import { type Operation, operationWith } from '../support/people.js';
import { feeding, herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Worth {
  quantity: { value: string };
  value: { amount: string };
}
interface Row {
  key: string;
  label: string;
  opening: Worth;
  flows: Record<string, Worth>;
  betweenLots: { amount: string };
  closing: Worth;
}
interface Rolled {
  rows: Row[];
  total: Row;
  variances: { amount: string };
  costingMethod: string;
}
interface Position {
  total: Worth;
  lots: (Worth & { hayLotId: string })[];
  kinds: (Worth & { hayKind: string })[];
}

let world: World;
let operation: Operation;
let home: string;
let north: string;
const DECEMBER = { from: '2026-12-01', until: '2026-12-31' };

beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  home = await ranch(operation, { name: 'Home ranch' });
  north = await ranch(operation, { name: 'North place' });
  const herdId = await herd(operation, home);
  const bought = await lot(operation, home, { name: 'Bought', freight: '240', purchasedOn: '2026-11-05' });
  await lot(operation, home, { name: 'More', tons: '7', purchasedOn: '2026-12-02' });
  await lot(operation, home, { name: 'Mineral', hayKind: 'mineral', weight: net('1000', 'lb'), price: lump('500') });
  await harvest(operation, home, { harvestedOn: '2026-12-03' });
  const wrong = await feeding(operation, herdId, [[bought.lotId, '3000']], { fedOn: '2026-11-20' });
  await feeding(operation, herdId, [[bought.lotId, '4000']], { fedOn: '2026-12-05' });
  const slip = await feeding(operation, herdId, [[bought.lotId, '1500']], { fedOn: '2026-12-06' });
  const { manager } = operation.as;
  for (const [id, effectiveOn] of [
    [wrong, '2026-12-08'],
    [slip, '2026-12-07'],
  ])
    await manager.post(
      operation.at(`/feedings/${id}/reversal`),
      { reason: 'Another herd', effectiveOn },
      { expect: 201 },
    );
  await sale(operation, bought.lotId, { soldOn: '2026-12-10' });
  await transfer(
    operation,
    bought.lotId,
    { name: 'Hauled north', ranchId: north },
    { movedOn: '2026-12-11', quantity: tons('3') },
  );
  await count(operation, bought.lotId, tons('15.5'), { countedOn: '2026-12-15' });
  await shrink(operation, bought.lotId, { lostOn: '2026-12-18' });
  await lateCost(operation, { kind: 'hay-purchase', id: bought.purchaseId }, { billedOn: '2026-12-20' });
});
afterAll(() => world.close());

const rolled = async (query: Record<string, string>): Promise<Rolled> =>
  (await operation.as.accountant.get<Rolled>(operation.at('/reports/inventory-roll-forward'), { query, expect: 200 }))
    .body;
const position = async (on: string): Promise<Position> =>
  (await operation.as.accountant.get<Position>(operation.at('/reports/hay-position'), { query: { on }, expect: 200 }))
    .body;
const cents = (amount: string): number => Math.round(Number(amount) * 100);
const millionths = (value: string): number => Math.round(Number(value) * 1e6);

async function useMethod(costingMethod: string): Promise<void> {
  const { owner } = operation.as;
  const { headers } = await owner.get(operation.at(''), { expect: 200 });
  await owner.patch(operation.at(''), { costingMethod }, { ifMatch: headers['etag'] ?? '', expect: 200 });
}

/** The hay account of the journal over some days. */
async function hayAccount(days: { from: string; until: string }): Promise<number> {
  interface Line {
    account: string;
    debit: { amount: string };
    credit: { amount: string };
  }
  const { body } = await operation.as.accountant.get<{ items: { lines: Line[] }[] }>(operation.at('/journal'), {
    query: { ...days, limit: '200' },
    expect: 200,
  });
  return body.items
    .flatMap(({ lines }) => lines)
    .filter(({ account }) => account === 'hay-inventory')
    .reduce((sum, { debit, credit }) => sum + cents(debit.amount) - cents(credit.amount), 0);
}

describe.each(COSTING_METHODS)('under %s', (method) => {
  beforeAll(() => useMethod(method));

  it.each(['kind', 'lot', 'ranch'])('by %s each row adds up, and the rows add up to the total', async (by) => {
    const { rows, total, costingMethod } = await rolled({ ...DECEMBER, by });
    expect(costingMethod).toBe(method);
    for (const row of [...rows, total]) {
      const flows = ROLL_FLOWS.map((flow) => row.flows[flow]);
      expect(
        cents(row.opening.value.amount) +
          cents(row.betweenLots.amount) +
          flows.reduce((sum, one) => sum + cents(one?.value.amount ?? ''), 0),
      ).toBe(cents(row.closing.value.amount));
      const moved = flows.reduce((sum, one) => sum + millionths(one?.quantity.value ?? ''), 0);
      // Quantities are told to six places each.
      expect(
        Math.abs(millionths(row.opening.quantity.value) + moved - millionths(row.closing.quantity.value)),
      ).toBeLessThanOrEqual(ROLL_FLOWS.length);
    }
    const sum = (of: (row: Row) => string): number => rows.reduce((all, row) => all + cents(of(row)), 0);
    expect(sum((row) => row.opening.value.amount)).toBe(cents(total.opening.value.amount));
    expect(sum((row) => row.closing.value.amount)).toBe(cents(total.closing.value.amount));
    expect(sum((row) => row.betweenLots.amount)).toBe(0);
    if (by === 'kind') for (const row of rows) expect(row.betweenLots.amount).toBe('0.00');
  });

  it('ties to the position at both ends, by lot and kind, and to the journal between them', async () => {
    const [before, after] = [await position('2026-11-30'), await position('2026-12-31')];
    const byKind = await rolled({ ...DECEMBER, by: 'kind' });
    const { total } = byKind;
    expect([total.opening.value, total.closing.value]).toEqual([before.total.value, after.total.value]);
    expect([total.opening.quantity, total.closing.quantity]).toEqual([before.total.quantity, after.total.quantity]);
    for (const { hayKind, value } of after.kinds)
      expect(byKind.rows.find(({ key }) => key === hayKind)?.closing.value).toEqual(value);
    const byLot = await rolled({ ...DECEMBER, by: 'lot' });
    for (const { hayLotId, value, quantity } of after.lots)
      expect(byLot.rows.find(({ key }) => key === hayLotId)?.closing).toEqual({ value, quantity });
    expect(await hayAccount(DECEMBER)).toBe(cents(total.closing.value.amount) - cents(total.opening.value.amount));
  });

  it('one month after the other is both of them', async () => {
    const [november, december, both] = [
      await rolled({ from: '2026-11-01', until: '2026-11-30' }),
      await rolled(DECEMBER),
      await rolled({ from: '2026-11-01', until: '2026-12-31' }),
    ];
    expect(november.total.closing).toEqual(december.total.opening);
    expect(both.total.closing).toEqual(december.total.closing);
    for (const flow of ['bought', 'raised', 'sold', 'shrink', 'counted', 'late-cost'])
      expect([
        flow,
        cents(november.total.flows[flow]?.value.amount ?? '') + cents(december.total.flows[flow]?.value.amount ?? ''),
      ]).toEqual([flow, cents(both.total.flows[flow]?.value.amount ?? '')]);
    // The feeding of November that December took back: fed and corrected apart, and nowhere in the two months.
    const of = (one: Rolled, flow: string): number => millionths(one.total.flows[flow]?.quantity.value ?? '');
    expect([of(november, 'fed'), of(december, 'fed'), of(december, 'correction')]).toEqual([-1.5e6, -2e6, 1.5e6]);
    expect([of(both, 'fed'), of(both, 'correction')]).toEqual([-2e6, 0]);
  });
});

describe('by ranch', () => {
  it('hay that was hauled is out of one and in the other', async () => {
    const { rows, total } = await rolled({ ...DECEMBER, by: 'ranch' });
    const of = (label: string): Row | undefined => rows.find((row) => row.label === label);
    expect(of('Home ranch')?.flows['transferred-out']?.quantity.value).toBe('-3');
    expect(of('North place')?.flows['transferred-in']?.quantity.value).toBe('3');
    expect(total.flows['transferred-in']?.quantity.value).toBe('0');
  });

  it('comes as a table, with amounts that a sheet can add', async () => {
    const { text } = await operation.as.accountant.get(operation.at('/reports/inventory-roll-forward'), {
      query: { ...DECEMBER, by: 'ranch', format: 'csv', head: 'no' },
      expect: 200,
    });
    const [header = '', ...rows] = text.trimEnd().split('\r\n');
    expect(header).toMatch(/^ranch,key,opening_ton,opening_USD,bought_ton,.*between_lots_USD,closing_ton,closing_USD$/);
    expect(rows.map((row) => row.split(',')[0])).toEqual(
      expect.arrayContaining(['Home ranch', 'North place', 'Total']),
    );
  });

  it('is refused in words where its days are', async () => {
    const asked = { from: '2026-12-31', until: '2026-12-01' };
    const { body } = await operation.as.accountant.get(operation.at('/reports/inventory-roll-forward'), {
      query: asked,
    });
    expect(body).toMatchObject({ status: 400, errors: [{ parameter: 'until', code: 'span-reversed' }] });
    expect(
      (await operation.as.hand.get(operation.at('/reports/inventory-roll-forward'), { query: DECEMBER })).status,
    ).toBe(403);
  });
});

describe('the year-end inventory', () => {
  interface YearEnd {
    rows: {
      hayKind: string;
      atCost: { amount: string };
      quantity: { value: string };
      atFarmPrice: {
        basis: string;
        soldOn: string | null;
        value: { amount: string };
        price: { amount: string };
      } | null;
    }[];
    totalAtCost: { amount: string };
    totalAtFarmPrice: { amount: string } | null;
    flags: { code: string }[];
  }
  const inventory = async (query: Record<string, string>): Promise<YearEnd> =>
    (
      await operation.as.accountant.get<YearEnd>(operation.at('/reports/year-end-inventory'), {
        query: { on: '2026-12-31', ...query },
        expect: 200,
      })
    ).body;

  it('has cost and farm price side by side: market price less the direct cost of disposition', async () => {
    const { rows, totalAtCost, totalAtFarmPrice } = await inventory({
      farmPrices: 'meadow:160,mineral:900',
      disposition: 'meadow:12.5',
    });
    const { total, kinds } = await position('2026-12-31');
    expect(totalAtCost).toEqual(total.value);
    const meadow = rows.find(({ hayKind }) => hayKind === 'meadow');
    const quantity = Number(kinds.find(({ hayKind }) => hayKind === 'meadow')?.quantity.value);
    // 160.00 less 12.50 for each ton; half a ton of mineral at 900.00.
    expect(Number(meadow?.atFarmPrice?.value.amount)).toBeCloseTo(quantity * 147.5, 2);
    expect(rows.find(({ hayKind }) => hayKind === 'mineral')?.atFarmPrice?.value.amount).toBe('450.00');
    expect(Number(totalAtFarmPrice?.amount)).toBeCloseTo(quantity * 147.5 + 450, 2);
  });

  it('has a file whose columns of money add up to their totals, and whose lines make up the value', async () => {
    const { text } = await operation.as.accountant.get(operation.at('/reports/year-end-inventory'), {
      query: {
        on: '2026-12-31',
        farmPrices: 'meadow:160,mineral:900',
        disposition: 'meadow:12.55',
        format: 'csv',
        head: 'no',
      },
      expect: 200,
    });
    const [head = [], ...rows] = text
      .replace('\uFEFF', '')
      .trim()
      .split(/\r?\n/u)
      .map((line) => line.split(','));
    const columns = ['at_cost', 'gross', 'disposition', 'at_farm_price'].map((name) => head.indexOf(`${name}_USD`));
    const money = rows.map((row) => columns.map((at) => cents(row[at] ?? 'none')));
    const total = money.pop() ?? [];
    expect(total).toEqual(columns.map((_, at) => money.reduce((sum, row) => sum + (row[at] ?? NaN), 0)));
    for (const [, gross, disposition, value] of [...money, total])
      expect((gross ?? NaN) - (disposition ?? NaN)).toBe(value);
  });

  it("takes the operation's own last sale where no price is given, and says what has none", async () => {
    const { rows, totalAtFarmPrice, flags } = await inventory({});
    expect(rows.find(({ hayKind }) => hayKind === 'meadow')?.atFarmPrice).toMatchObject({
      basis: 'last-sale',
      soldOn: '2026-12-10',
      price: { amount: '200.00' },
    });
    expect(rows.find(({ hayKind }) => hayKind === 'mineral')?.atFarmPrice).toBeNull();
    expect([totalAtFarmPrice, flags.map(({ code }) => code)]).toEqual([null, ['farm-price-missing']]);
  });

  it.each([
    ['meadow', 'invalid-format'],
    ['meadow:1e9', 'invalid-format'],
    ['gravel:10', 'no-such-kind'],
  ])('refuses the prices %s', async (farmPrices, code) => {
    const { body } = await operation.as.accountant.get(operation.at('/reports/year-end-inventory'), {
      query: { on: '2026-12-31', farmPrices },
    });
    expect(body).toMatchObject({ status: 400, errors: [{ parameter: 'farmPrices', code }] });
  });
});
