/* One report over the operations in which a person may see prices; two currencies are never added. */
import { clientOf, join, type Operation, operationWith, person } from '../support/people.js';
import { feeding, herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Amount {
  amount: string;
  currency: string;
}
interface RollUp {
  operations: { operationId: string; operation: string; currency: string; lines: { line: string; amount: Amount }[] }[];
  sums: { currency: string; operations: number; lines: { line: string; amount: Amount }[] }[];
}

const SPAN = { from: '2026-11-01', until: '2026-12-31' };

let world: World;
let ours: Operation;
let alsoOurs: Operation;
let canadian: Operation;
let unpriced: Operation;
let stranger: Operation;
let read: (query?: Record<string, string>) => Promise<RollUp>;
let file: (query: Record<string, string>) => Promise<string>;
let ended: () => Promise<void>;

/** One ton of hay bought at a price, half of it fed. */
async function books(currency: string, price: string): Promise<Operation> {
  const operation = await operationWith(world, { currency });
  const ranchId = await ranch(operation);
  const bought = await lot(operation, ranchId, { tons: '1', price: { basis: 'per-mass', amount: price, per: 'ton' } });
  const herdId = await herd(operation, ranchId, { head: 20 });
  await feeding(operation, herdId, [[bought.lotId, '500']], { fedOn: '2026-11-20' });
  await feeding(operation, herdId, [[bought.lotId, '500']], { fedOn: '2026-12-20' });
  return operation;
}

beforeAll(async () => {
  world = await openWorld();
  ours = await books('USD', '200');
  alsoOurs = await books('USD', '300');
  canadian = await books('CAD', '250');
  unpriced = await books('USD', '1000');
  stranger = await books('USD', '450');
  const who = await person(world, 'accountant of several');
  for (const operation of [ours, alsoOurs, canadian]) await join(world, who, operation.id, 'accountant');
  await join(world, who, unpriced.id, 'accountant', { seesPrices: false });
  const client = await clientOf(world, who);
  read = async (query = {}) =>
    (await client.get<RollUp>('/v1/accounting/roll-up', { query: { ...SPAN, ...query }, expect: 200 })).body;
  file = async (query) =>
    (await client.get('/v1/accounting/roll-up', { query: { ...SPAN, format: 'csv', ...query }, expect: 200 })).text;
  ended = async () => {
    await world.ownerPool.query('UPDATE membership SET until_at = $1 WHERE person_id = $2 AND operation_id = $3', [
      world.clock.now().toISOString(),
      who.id,
      alsoOurs.id,
    ]);
  };
});
afterAll(() => world.close());

const of = (lines: { line: string; amount: Amount }[] | undefined, line: string): string | undefined =>
  lines?.find((one) => one.line === line)?.amount.amount;

it('holds the operations whose prices one may see, and no other', async () => {
  const { operations } = await read();
  expect(operations.map(({ operationId }) => operationId).sort()).toEqual([ours.id, alsoOurs.id, canadian.id].sort());
  const text = JSON.stringify(operations);
  for (const other of [unpriced, stranger]) expect(text).not.toContain(other.id);
});

it('adds within a currency, and lets two stand side by side', async () => {
  const { sums } = await read();
  expect(sums.map(({ currency, operations }) => [currency, operations])).toEqual([
    ['CAD', 1],
    ['USD', 2],
  ]);
  // Half a ton of each: 125 CAD; 100 + 150 USD. As much is left.
  for (const line of ['hay', 'feed-on-hand']) {
    expect(of(sums.find((one) => one.currency === 'CAD')?.lines, line)).toBe('125.00');
    expect(of(sums.find((one) => one.currency === 'USD')?.lines, line)).toBe('250.00');
  }
  const one = await read({ currency: 'USD' });
  expect(one.sums.map(({ currency }) => currency)).toEqual(['USD']);
  expect(one.operations).toHaveLength(2);
});

it('says of each operation what its own reports say', async () => {
  const { operations } = await read();
  for (const operation of [ours, canadian]) {
    const season = await operation.as.accountant.get<{ total: { hayCost: Amount; yardageCost: Amount } }>(
      operation.at('/reports/season-cost'),
      { query: SPAN, expect: 200 },
    );
    const position = await operation.as.accountant.get<{ total: { value: Amount } }>(
      operation.at('/reports/hay-position'),
      { query: { on: SPAN.until }, expect: 200 },
    );
    const told = operations.find(({ operationId }) => operationId === operation.id);
    expect([of(told?.lines, 'hay'), of(told?.lines, 'yardage'), of(told?.lines, 'feed-on-hand')]).toEqual([
      season.body.total.hayCost.amount,
      season.body.total.yardageCost.amount,
      position.body.total.value.amount,
    ]);
  }
});

it('is a file that says of which days it is, how it was made, and how each operation values hay', async () => {
  const { operations } = await read();
  const nameOf = ({ id }: Operation): string => operations.find((one) => one.operationId === id)?.operation ?? '';
  const lines = (await file({})).split(/\r?\n/);
  const said = lines.filter((line) => line.startsWith('# ')).map((line) => line.slice(2));
  for (const words of [
    'period,2026-11-01 to 2026-12-31',
    `operation,"${nameOf(ours)}: USD, specific-lot"`,
    `operation,"${nameOf(canadian)}: CAD, specific-lot"`,
    'source,/v1/accounting/roll-up?from=2026-11-01&until=2026-12-31',
  ])
    expect(said).toContain(words);
  expect(said.find((line) => line.startsWith('method,'))).toContain('Sums are apart for each currency');
  expect(said.find((line) => line.startsWith('sha256 of the table,'))).toMatch(/,[0-9a-f]{64}$/);
  expect(await file({ head: 'no' })).toBe(lines.filter((line) => !line.startsWith('# ')).join('\r\n'));
});

it('shows nothing of a membership that ended', async () => {
  await ended();
  const { operations, sums } = await read();
  expect(operations.map(({ operationId }) => operationId)).not.toContain(alsoOurs.id);
  expect(of(sums.find((one) => one.currency === 'USD')?.lines, 'hay')).toBe('100.00');
});

it('is empty for who sees no prices anywhere', async () => {
  const { body } = await ours.as.hand.get<RollUp>('/v1/accounting/roll-up', { query: SPAN, expect: 200 });
  expect(body).toMatchObject({ operations: [], sums: [] });
});
