/* Money planned by month, herd and line, revised and taken back, and held against the books. */
import { parse } from 'csv-parse/sync';
import { type Operation, operationWith } from '../support/people.js';
import { feeding, herd, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Amount {
  amount: string;
}
interface Held {
  line: string;
  budget: Amount | null;
  actual: Amount;
  variance: Amount | null;
  variancePercent: string | null;
  favorable: boolean | null;
}
interface Report {
  rows: (Held & { month: string; herdId: string })[];
  lines: Held[];
  costs: Held;
  flags: { code: string }[];
}

let world: World;
let operation: Operation;
let [herdId, lotId] = ['', ''];
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  const ranchId = await ranch(operation);
  // 200 a ton is 10 cents a pound.
  lotId = (await lot(operation, ranchId, { price: { basis: 'per-mass', amount: '200', per: 'ton' } })).lotId;
  herdId = await herd(operation, ranchId, { head: 20 });
  const { manager } = operation.as;
  await manager.post(operation.at('/yardage-rates'), { fromOn: '2026-11-01', perHeadDay: '0.50' }, { expect: 201 });
  await feeding(operation, herdId, [[lotId, '500']], { fedOn: '2026-11-10' });
  await feeding(operation, herdId, [[lotId, '400']], { fedOn: '2026-12-10' });
  const cost = { herdId, kind: 'veterinary', happenedOn: '2026-12-05', payee: 'A vet', amount: '75' };
  await manager.post(operation.at('/herd-costs'), cost, { expect: 201 });
  const sold = { kind: 'sale', head: 2, happenedOn: '2026-12-31', price: { basis: 'per-head', amount: '1500' } };
  await manager.post(operation.at(`/herds/${herdId}/head-changes`), sold, { expect: 201 });
});
afterAll(() => world.close());

const plan = async (month: string, line: string, amount: string | null): Promise<WithId & Record<string, unknown>> =>
  (
    await operation.as.accountant.post<WithId & Record<string, unknown>>(
      operation.at('/budget-entries'),
      { herdId, month, line, amount },
      { expect: 201 },
    )
  ).body;
const report = async (): Promise<Report> =>
  (
    await operation.as.accountant.get<Report>(operation.at('/reports/budget-against-actual'), {
      query: { from: '2026-11', until: '2026-12' },
      expect: 200,
    })
  ).body;

it('is held against the books by month, herd and line, with its latest revision', async () => {
  await plan('2026-11', 'hay', '40');
  const revised = await plan('2026-11', 'hay', '45.0');
  expect(revised).toMatchObject({ revision: 2, isCurrent: true, amountTyped: '45.0', amount: { amount: '45.00' } });
  await plan('2026-12', 'hay', '50');
  await plan('2026-12', 'cattle-sold', '2500');
  await plan('2026-12', 'yardage', '999');
  await plan('2026-12', 'yardage', null);
  const found = await report();
  const told = ({ line, budget, actual, variance, variancePercent, favorable }: Held): unknown[] => [
    line,
    budget?.amount ?? null,
    actual.amount,
    variance?.amount ?? null,
    variancePercent,
    favorable,
  ];
  // November: 30 days of 20 head at 0.50. December: 30 days of 20 and one of 18.
  expect(found.rows.map((one) => [one.month, ...told(one)])).toEqual([
    ['2026-11', 'hay', '45.00', '50.00', '5.00', '11.1', false],
    ['2026-11', 'yardage', null, '300.00', null, null, null],
    ['2026-12', 'hay', '50.00', '40.00', '-10.00', '-20', true],
    ['2026-12', 'yardage', null, '309.00', null, null, null],
    ['2026-12', 'herd-costs', null, '75.00', null, null, null],
    ['2026-12', 'cattle-sold', '2500.00', '3000.00', '500.00', '20', true],
  ]);
  expect(found.lines.map(told)).toEqual([
    ['hay', '95.00', '90.00', '-5.00', '-5.3', true],
    ['yardage', null, '609.00', null, null, null],
    ['herd-costs', null, '75.00', null, null, null],
    ['cattle-sold', '2500.00', '3000.00', '500.00', '20', true],
  ]);
  expect(found.flags.map(({ code }) => code)).toEqual(['not-planned']);
});

it('has the hay and the yardage of season cost, month by month', async () => {
  const { rows } = await report();
  const season = await operation.as.accountant.get<{ rows: { key: string; hayCost: Amount; yardageCost: Amount }[] }>(
    operation.at('/reports/season-cost'),
    { query: { from: '2026-11-01', until: '2026-12-31', by: 'month' }, expect: 200 },
  );
  const of = (month: string, line: string): string | undefined =>
    rows.find((one) => one.month === month && one.line === line)?.actual.amount;
  for (const { key, hayCost, yardageCost } of season.body.rows)
    expect([of(key, 'hay'), of(key, 'yardage')]).toEqual([hayCost.amount, yardageCost.amount]);
  expect(season.body.rows).toHaveLength(2);
});

it('keeps every revision, and comes as a file', async () => {
  const { accountant } = operation.as;
  const list = async (current: string): Promise<{ revision: number; isCurrent: boolean; amount: unknown }[]> =>
    (
      await accountant.get<{ items: { revision: number; isCurrent: boolean; amount: unknown }[] }>(
        operation.at('/budget-entries'),
        { query: { current, limit: '100' }, expect: 200 },
      )
    ).body.items;
  expect((await list('false')).length).toBe((await list('true')).length + 2);
  expect((await list('true')).every(({ isCurrent }) => isCurrent)).toBe(true);
  const { text } = await accountant.get(operation.at('/reports/budget-against-actual'), {
    query: { from: '2026-11', until: '2026-12', format: 'csv' },
    expect: 200,
  });
  const rows: string[][] = parse(text, { bom: true, relaxColumnCount: true });
  expect(rows.find((row) => row[0] === '2026-11' && row[3] === 'hay')?.slice(4)).toEqual([
    '45.00',
    '50.00',
    '0.00',
    '5.00',
    '11.1',
    'no',
  ]);
  // What is told of all costs is the sum of its rows: 609 of yardage and 75 of other costs had no plan.
  expect(rows.find((row) => row[0] === 'Total' && row[3] === 'all costs')?.slice(4)).toEqual([
    '95.00',
    '774.00',
    '684.00',
    '-5.00',
    '-5.3',
    'yes',
  ]);
});

it('is written by the office, and read by who sees prices', async () => {
  const entry = { herdId, month: '2026-11', line: 'hay', amount: '1' };
  await operation.as.hand.get(operation.at('/budget-entries'), { expect: 403 });
  await operation.as.manager.get(operation.at('/budget-entries'), { expect: 200 });
  await operation.as.manager.post(operation.at('/budget-entries'), entry, { expect: 403 });
  const other = await operationWith(world);
  await other.as.accountant.post(other.at('/budget-entries'), entry, { expect: 404 });
  for (const month of ['2026-13', '2026-1', '11/2026'])
    await operation.as.accountant.post(operation.at('/budget-entries'), { ...entry, month }, { expect: 400 });
  await operation.as.accountant.get(operation.at('/reports/budget-against-actual'), {
    query: { from: '2026-12', until: '2026-11' },
    expect: 400,
  });
});
