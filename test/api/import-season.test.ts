/*
 * A season of one ranch, from the sample files under seed/samples, into an empty operation: what the files say and what
 * the books say must be the same, in pounds and in cents. The files are read here by themselves; nothing of the import
 * is used to work out what is expected.
 */
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { parse } from 'csv-parse/sync';
import { type Decimal, decimal, sumDecimals, ZERO } from '../../src/core/units/decimal.js';
import { type Operation, operationWith } from '../support/people.js';
import { herd, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

type Row = Record<string, string>;
interface Amount {
  amount: string;
}
interface Mass {
  value: string;
  unit: string;
}
interface Position {
  lots: { hayLot: string; quantity: Mass; value: Amount }[];
  total: { quantity: Mass; value: Amount };
  reconciliation: {
    received: Mass;
    drawn: Mass;
    onHand: Mass;
    valueReceived: Amount;
    valueDrawn: Amount;
    valueOnHand: Amount;
  };
}
interface SeasonCost {
  rows: { label: string; fed: Mass; hayCost: Amount; headDays: number }[];
  total: { fed: Mass; hayCost: Amount; headDays: number };
}

const KINDS = ['hay-tickets', 'head-changes', 'lab-tests', 'feedings', 'animal-weights', 'group-weights'] as const;
const POUND = '0.45359237';
const [FIRST, LAST] = ['2026-11-01', '2027-03-31'];

const file = (kind: string): string =>
  readFileSync(path.resolve(__dirname, '..', '..', 'seed', 'samples', `${kind}.csv`), 'utf8');
const rowsOf = (kind: string): Row[] =>
  parse(file(kind), {
    bom: true,
    columns: true,
    delimiter: kind === 'head-changes' ? ';' : kind === 'group-weights' ? '\t' : ',',
  });
const tickets = rowsOf('hay-tickets');
const feedingRows = rowsOf('feedings');

let world: World;
let operation: Operation;
const imported: Record<string, { rowCount: number; recordCount: number; id: string }> = {};

beforeAll(async () => {
  world = await openWorld({ now: '2027-04-02T15:00:00.000Z' });
  operation = await operationWith(world, { costingMethod: 'moving-average' });
  const ranchId = await ranch(operation);
  await herd(operation, ranchId, {
    name: 'Cows',
    head: 0,
    cattleClass: 'dry-pregnant-cow',
    sex: 'cow',
    bodyWeight: { value: '1285', unit: 'lb' },
  });
  await herd(operation, ranchId, { name: 'Calves', head: 0 });
  await herd(operation, ranchId, { name: 'Sick pen', head: 0 });
  for (const kind of KINDS) {
    const checked = await operation.as.manager.post<{ problems: unknown[] }>(
      operation.at(`/imports/${kind}/check`),
      file(kind),
      { headers: { 'Content-Type': 'text/csv' }, key: null, expect: 200 },
    );
    expect([kind, checked.body.problems]).toEqual([kind, []]);
    imported[kind] = (
      await operation.as.manager.post<{ rowCount: number; recordCount: number; id: string }>(
        operation.at(`/imports/${kind}`),
        file(kind),
        { headers: { 'Content-Type': 'text/csv' }, expect: 201 },
      )
    ).body;
  }
});
afterAll(async () => {
  await world.close();
});

/** Pounds of a ticket, as its file tells them. */
function poundsOf(row: Row): Decimal {
  if (row['net_weight_lb'] !== '') return decimal(row['net_weight_lb'] ?? '');
  if (row['gross_weight_lb'] !== '') return decimal(row['gross_weight_lb'] ?? '').minus(row['tare_weight_lb'] ?? '');
  return decimal(row['mean_bale_weight_lb'] ?? '').times(row['bale_count'] ?? '');
}

/** Cents of a ticket: price, freight and charges. */
function costOf(row: Row): Decimal {
  const price =
    row['price_usd_per_ton'] !== ''
      ? poundsOf(row)
          .div(2000)
          .times(row['price_usd_per_ton'] ?? '')
      : row['price_usd_per_bale'] !== ''
        ? decimal(row['price_usd_per_bale'] ?? '').times(row['bale_count'] ?? '')
        : decimal(row['price_usd_lump_sum'] ?? '');
  return sumDecimals([
    price.toDecimalPlaces(2),
    decimal(row['freight_usd'] === '' ? '0' : (row['freight_usd'] ?? '0')),
    decimal(row['charges_usd'] === '' ? '0' : (row['charges_usd'] ?? '0')),
  ]);
}

function fedPounds(row: Row): Decimal {
  if (row['weight_lb'] !== '') return decimal(row['weight_lb'] ?? '');
  if (row['weight_kg'] !== '') return decimal(row['weight_kg'] ?? '').div(POUND);
  const ofLot = tickets.filter((ticket) => ticket['lot'] === row['lot'] && ticket['bale_count'] !== '');
  return sumDecimals(ofLot.map(poundsOf))
    .div(sumDecimals(ofLot.map((ticket) => decimal(ticket['bale_count'] ?? ''))))
    .times(row['bales'] ?? '');
}

const of = <T extends Row>(rows: readonly T[], column: string, value: string): T[] =>
  rows.filter((row) => row[column] === value);
const tons = (mass: Mass): Decimal => decimal(mass.value);
const near = (a: Decimal, b: Decimal): boolean => a.minus(b).abs().lte('0.000001');
const position = async (on: string): Promise<Position> =>
  (await operation.as.accountant.get<Position>(operation.at('/reports/hay-position'), { query: { on }, expect: 200 }))
    .body;

it('takes every row of every file', () => {
  expect(Object.fromEntries(Object.entries(imported).map(([kind, one]) => [kind, one.rowCount]))).toEqual(
    Object.fromEntries(KINDS.map((kind) => [kind, rowsOf(kind).length])),
  );
  expect(imported['feedings']?.recordCount).toBe(new Set(feedingRows.map((row) => row['feeding'])).size);
  expect(imported['hay-tickets']?.recordCount).toBe(tickets.length);
});

it('opening + in − out = closing, lot by lot, in pounds', async () => {
  const { lots, reconciliation } = await position(LAST);
  const names = [...new Set(tickets.map((row) => row['lot'] ?? ''))];
  for (const name of names) {
    const received = sumDecimals(of(tickets, 'lot', name).map(poundsOf));
    const fed = sumDecimals(of(feedingRows, 'lot', name).map(fedPounds));
    const left = lots.find((lot) => lot.hayLot === name);
    expect({
      name,
      same: near(received.minus(fed).div(2000), left === undefined ? ZERO : tons(left.quantity)),
    }).toEqual({ name, same: true });
  }
  expect(near(tons(reconciliation.received), sumDecimals(tickets.map(poundsOf)).div(2000))).toBe(true);
  expect(near(tons(reconciliation.drawn), sumDecimals(feedingRows.map(fedPounds)).div(2000))).toBe(true);
  expect(near(tons(reconciliation.received).minus(reconciliation.drawn.value), tons(reconciliation.onHand))).toBe(true);
});

it('opening + in − out = closing, in cents: tickets, cost of feed and what is on hand', async () => {
  const { reconciliation, total } = await position(LAST);
  const bought = sumDecimals(tickets.map(costOf));
  expect(reconciliation.valueReceived.amount).toBe(bought.toFixed(2));
  const cost = (
    await operation.as.accountant.get<SeasonCost>(operation.at('/reports/season-cost'), {
      query: { from: FIRST, until: LAST },
      expect: 200,
    })
  ).body;
  expect(reconciliation.valueDrawn.amount).toBe(cost.total.hayCost.amount);
  expect(decimal(reconciliation.valueReceived.amount).minus(reconciliation.valueDrawn.amount).toFixed(2)).toBe(
    reconciliation.valueOnHand.amount,
  );
  expect(total.value.amount).toBe(reconciliation.valueOnHand.amount);
  expect(sumDecimals(cost.rows.map((row) => decimal(row.hayCost.amount))).toFixed(2)).toBe(cost.total.hayCost.amount);
  // Before the first feeding everything that was bought by then is there, at what it cost.
  const before = await position('2026-10-31');
  expect(before.total.value.amount).toBe(
    sumDecimals(tickets.filter((row) => (row['purchased_on'] ?? '') <= '2026-10-31').map(costOf)).toFixed(2),
  );
});

it('every herd was fed what its file says, and its head-days are those of the head moves', async () => {
  const cost = (
    await operation.as.accountant.get<SeasonCost>(operation.at('/reports/season-cost'), {
      query: { from: FIRST, until: LAST, by: 'herd' },
      expect: 200,
    })
  ).body;
  const moves = rowsOf('head-changes');
  for (const name of ['Cows', 'Calves']) {
    const row = cost.rows.find((one) => one.label === name);
    expect({
      name,
      same: near(
        sumDecimals(of(feedingRows, 'herd', name).map(fedPounds)).div(2000),
        row === undefined ? ZERO : tons(row.fed),
      ),
    }).toEqual({ name, same: true });
    let headDays = 0;
    for (let day = Date.parse(FIRST); day <= Date.parse(LAST); day += 86_400_000) {
      const upTo = moves.filter((move) => Date.parse(move['happened_on'] ?? '') <= day);
      headDays += upTo.reduce(
        (head, move) =>
          head +
          (move['herd'] === name ? Number(move['head']) * (move['kind'] === 'in' ? 1 : -1) : 0) +
          (move['to_herd'] === name ? Number(move['head']) : 0),
        0,
      );
    }
    expect([name, row?.headDays]).toEqual([name, headDays]);
  }
});

it('every weigh-in has its animals and its mean, and every lot its test', async () => {
  const { items } = (
    await operation.as.manager.get<{ items: { scope: string; weighedOn: string; head: number; meanWeight: Mass }[] }>(
      operation.at('/weigh-ins'),
      { query: { limit: '200' }, expect: 200 },
    )
  ).body;
  const weights = rowsOf('animal-weights');
  for (const day of new Set(weights.map((row) => row['weighed_on'] ?? ''))) {
    const own = of(weights, 'weighed_on', day).map((row) => decimal(row['weight_lb'] ?? ''));
    const found = items.find((one) => one.scope === 'animal' && one.weighedOn === day);
    expect({
      day,
      head: found?.head,
      same: near(sumDecimals(own).div(own.length), decimal(found?.meanWeight.value ?? '0')),
    }).toEqual({ day, head: own.length, same: true });
  }
  expect(items.filter((one) => one.scope === 'group')).toHaveLength(3);
  const tests = (
    await operation.as.manager.get<{ items: unknown[] }>(operation.at('/lab-tests'), {
      query: { limit: '200' },
      expect: 200,
    })
  ).body.items;
  expect(tests).toHaveLength(rowsOf('lab-tests').length);
});

it('the same files again change nothing', async () => {
  const before = await position(LAST);
  for (const kind of KINDS) {
    const again = await operation.as.manager.post<{ id: string }>(operation.at(`/imports/${kind}`), file(kind), {
      headers: { 'Content-Type': 'text/csv' },
      expect: 201,
    });
    expect(again.body.id).toBe(imported[kind]?.id);
  }
  expect(await position(LAST)).toEqual(before);
});
