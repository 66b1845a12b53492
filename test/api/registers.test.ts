/*
 * Every list that is a register, as pages of JSON and as one CSV file: the file has the rows of all pages, in their
 * order, and everything that the answer tells. Read back with another library than wrote it.
 */
import { randomUUID } from 'node:crypto';
import { parse } from 'csv-parse/sync';
import { type AnyEndpoint, ENDPOINTS, formsOf } from '../../src/platform/http/endpoint.js';
import { fileName } from '../../src/platform/http/file-name.js';
import { columnsOf } from '../../src/platform/http/register.js';
import fc, { examples } from '../support/properties.js';
import { asker, type Operation, operationWith } from '../support/people.js';
import { aWinterIn, type Winter } from '../support/winter.js';
import { pullRegister } from '../support/registers.js';
import { pounds, sale } from '../support/books.js';
import { lot } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

type Item = Record<string, unknown>;

/** The lists that a rancher or an accountant keeps as books, and the table that holds each. */
const TABLES: Readonly<Record<string, string>> = {
  // Their entries are worked out from these.
  getCattleJournal: 'head_change',
  getJournal: 'stock_movement',
  listBudgetEntries: 'budget_entry',
  listAllHeadChanges: 'head_change',
  listConfirmedEntries: 'confirmed_entry',
  listFeedings: 'feeding',
  listHarvests: 'harvest',
  listHayLotMovements: 'stock_movement',
  listHayLots: 'hay_lot',
  listHayMovements: 'stock_movement',
  listHayObservations: 'hay_observation',
  listHayPurchases: 'hay_purchase',
  listHayQuotes: 'hay_quote',
  listHaySales: 'hay_sale',
  listHayTransfers: 'hay_transfer',
  listHeadChanges: 'head_change',
  listHerdCosts: 'herd_cost',
  listHerdEvents: 'herd_event',
  listHerds: 'herd',
  listLabTests: 'lab_test',
  listLateCosts: 'late_cost',
  listPlaces: 'place',
  listStockCounts: 'stock_count',
  listStorageMeasurements: 'storage_measurement',
  listStorageShrinks: 'storage_shrink',
  listWaterChecks: 'water_check',
  listWeatherDays: 'weather_day',
  listWeighIns: 'weigh_in',
  listYardageRates: 'yardage_rate',
};
/** What a list cannot do without. */
const QUERIES: Readonly<Record<string, Record<string, string>>> = {
  getCattleJournal: { until: '2027-01-31' },
  getJournal: { until: '2027-01-31' },
};
const REGISTERS = ENDPOINTS.filter((one) => one.register !== undefined).map((one) => [one.operationId, one] as const);

let world: World;
let operation: Operation;
let winter: Winter;
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  winter = await aWinterIn(operation);
  const { manager } = operation.as;
  await manager.post(
    operation.at(`/herds/${winter.herdId}/head-changes`),
    { kind: 'death', head: 2, happenedOn: '2027-01-10', note: '=cmd|calc' },
    { expect: 201 },
  );
  await manager.post(
    operation.at('/weather-days'),
    {
      ranchId: winter.ranchId,
      onDay: '2027-01-10',
      meanTemperature: { value: '-12.50', unit: 'F' },
      wind: { value: '14', unit: 'mph' },
    },
    { expect: 201 },
  );
  const { body: place } = await manager.post<{ id: string }>(
    operation.at('/places'),
    { ranchId: winter.ranchId, name: 'East pen', kind: 'pen', bunkLength: { value: '120.0', unit: 'ft' } },
    { expect: 201 },
  );
  await manager.post(
    operation.at('/water-checks'),
    {
      placeId: place.id,
      source: 'Trough',
      checkedOn: '2027-01-10',
      state: 'open',
      flow: { value: '8.0', unit: 'gal/min' },
    },
    { expect: 201 },
  );
  for (const score of ['5', '5.5'])
    await manager.post(
      operation.at(`/herds/${winter.herdId}/events`),
      { kind: 'condition', happenedOn: '2027-01-09', score },
      { expect: 201 },
    );
  for (const tons of ['4', '5', '6', '7']) await lot(operation, winter.ranchId, { name: `More ${tons}`, tons });
  // Dear hay is asked about; the test's client says yes.
  for (const amount of ['950', '975'])
    await lot(operation, winter.ranchId, {
      name: `Dear at ${amount}`,
      tons: '3',
      price: { basis: 'per-mass', amount, per: 'ton' },
    });
});
afterAll(() => world.close());

const paramsOf = ({ path }: AnyEndpoint): Record<string, string> => ({
  operationId: operation.id,
  ...(path.includes(':herdId') ? { herdId: winter.herdId } : {}),
  ...(path.includes(':hayLotId') ? { hayLotId: winter.lots[0]?.lotId ?? '' } : {}),
});
const addressOf = (one: AnyEndpoint): string =>
  Object.entries(paramsOf(one)).reduce((path, [name, value]) => path.replace(`:${name}`, value), one.path);

async function pagesOf(one: AnyEndpoint, limit: number, query: Record<string, string> = {}): Promise<Item[]> {
  const items: Item[] = [];
  for (let cursor: string | null | undefined; cursor !== null;) {
    const page = await operation.as.owner.get<{ items: Item[]; nextCursor: string | null }>(addressOf(one), {
      query: {
        ...QUERIES[one.operationId],
        ...query,
        limit: String(limit),
        ...(cursor === undefined ? {} : { cursor }),
      },
      expect: 200,
    });
    items.push(...page.body.items);
    cursor = page.body.nextCursor;
  }
  return items;
}

async function fileOf(one: AnyEndpoint, query: Record<string, string> = {}): Promise<Record<string, string>[]> {
  const { text } = await operation.as.owner.get(addressOf(one), {
    query: { ...QUERIES[one.operationId], ...query, format: 'csv', head: 'no' },
    expect: 200,
  });
  return parse(text, { columns: true });
}

const idOf = (item: Item): string => (item['id'] ?? item['entryId']) as string;
/** Ids as they follow each other; the lines of one item count once. */
const idsIn = (rows: readonly Record<string, string>[]): string[] =>
  rows.map((row) => row['id'] ?? row['entry_id'] ?? '').filter((id, index, all) => id !== all[index - 1]);

function leavesOf(value: unknown, path: string): [string, string][] {
  if (value === null || value === undefined || typeof value === 'boolean') return [];
  if (typeof value !== 'object') return [[path, typeof value === 'string' ? value : JSON.stringify(value)]];
  return Object.entries(value).flatMap(([key, inner]) =>
    leavesOf(inner, Array.isArray(value) ? path : `${path}.${key}`.replace(/^\./, '')),
  );
}

it('are these', () => {
  expect(REGISTERS.map(([name]) => name).sort()).toEqual(Object.keys(TABLES).sort());
});

describe.each(REGISTERS)('%s', (_name, one) => {
  const without = one.register?.without ?? [];

  it('as CSV has the rows of all its pages, in their order and each once, whatever the length of a page', async () => {
    const file = await fileOf(one);
    expect(file.length).toBeGreaterThan(0);
    await fc.assert(
      fc.asyncProperty(fc.integer({ min: 1, max: 7 }), async (limit) => {
        const ids = (await pagesOf(one, limit)).map(idOf);
        expect(idsIn(file)).toEqual(ids);
        expect(new Set(ids).size).toBe(ids.length);
      }),
      { numRuns: Math.min(3, examples(3)) },
    );
  });

  it('tells in its columns what the answer tells, with lots, herds, places and people by name', async () => {
    const query: Record<string, string> =
      'units' in ((one.query as { shape?: object } | undefined)?.shape ?? {}) ? { units: 'metric' } : {};
    const [file, items] = [await fileOf(one, query), await pagesOf(one, 50, query)];
    for (const item of items) {
      const lines = file.filter((row) => (row['id'] ?? row['entry_id']) === idOf(item));
      const cells = lines.flatMap((row) => Object.values(row)).map((cell) => cell.replace(/^'(?=[=+@-])/, ''));
      const missing = leavesOf(item, '').filter(
        ([path, text]) =>
          !without.some((left) => path.startsWith(left)) &&
          !/(^|\.)(cautions|warnings|confirmed)\./.test(path) &&
          !cells.some((cell) => cell === text || cell.split('; ').includes(text)),
      );
      expect(missing).toEqual([]);
      if ('reversal' in item) expect(lines[0]?.['reversed']).toBe(item['reversal'] === null ? 'no' : 'yes');
      if ('recordedBy' in item) expect(lines[0]?.['recorded_by']).toMatch(/^(owner|manager|hand|accountant)/);
    }
    for (const [name, id] of [
      ['hay_lot', 'hay_lot_id'],
      ['herd', 'herd_id'],
      ['ranch', 'ranch_id'],
    ] as const)
      for (const row of file) if (id in row) expect((row[name] ?? '') === '').toBe(row[id] === '');
  });

  it('leaves out as a whole what commits while it is taken', async () => {
    const before = (await pagesOf(one, 200)).map(idOf);
    const lines = await pullRegister(world, asker(world, operation.people.owner), one, {
      params: paramsOf(one),
      query: QUERIES[one.operationId] ?? {},
      itemsAtOnce: 1,
    });
    const taking = lines[Symbol.asyncIterator]();
    let text = String((await taking.next()).value);
    // What fails here must not leave the list half taken: nobody could close the server then.
    const added = await entered(one, before[0] ?? '').catch(async (error: unknown) => {
      await taking.return?.();
      throw error;
    });
    for (let next = await taking.next(); next.done !== true; next = await taking.next()) text += next.value;
    expect(idsIn(parse(text, { columns: true }))).toEqual(before);
    // A herd alone, without the facts that it was entered with, is nothing that a list could show.
    if (one.operationId !== 'listHerds')
      expect(new Set(idsIn(await fileOf(one)))).toEqual(new Set([...before, ...added]));
    if (!JOURNALS.includes(one.operationId)) await removed(TABLES[one.operationId] ?? '', added);
  });
});

/** Their entries are no records. */
const JOURNALS = ['getJournal', 'getCattleJournal'];

/** What commits meanwhile: a sale or a cost for the journals, else a record like one there is. */
async function entered(one: AnyEndpoint, like: string): Promise<string[]> {
  if (one.operationId === 'getCattleJournal') {
    const cost = { herdId: winter.herdId, kind: 'other', happenedOn: '2026-12-20', payee: 'A neighbor', amount: '12' };
    const made = await operation.as.manager.post<{ id: string }>(operation.at('/herd-costs'), cost, { expect: 201 });
    return [made.body.id];
  }
  if (one.operationId !== 'getJournal') return copied(TABLES[one.operationId] ?? '', like);
  const sold = await sale(operation, winter.lots[0]?.lotId ?? '', { quantity: pounds('10') });
  const { rows } = await world.ownerPool.query<{ id: string }>('SELECT id FROM stock_movement WHERE source_id = $1', [
    sold.id,
  ]);
  return rows.map(({ id }) => id);
}

/** Other records like this one, past the rules of the database: what they are is not asked here. */
async function copied(table: string, id: string, times = 1): Promise<string[]> {
  const ids = Array.from({ length: times }, () => randomUUID());
  await pastTheRules(
    `INSERT INTO ${table} ${await columnsIn(table)} SELECT ${await columnsIn(table, 'copy')}
       FROM ${table} x, unnest($1::uuid[]) AS made,
         jsonb_populate_record(x, jsonb_build_object('id', made)) AS copy WHERE x.id = $2`,
    [ids, id],
  );
  return ids;
}
const removed = (table: string, ids: readonly string[]): Promise<void> =>
  pastTheRules(`DELETE FROM ${table} WHERE id = ANY ($1::uuid[])`, [ids]);

async function columnsIn(table: string, of?: string): Promise<string> {
  const { rows } = await world.ownerPool.query<{ name: string }>(
    `SELECT quote_ident(attname) AS name FROM pg_attribute WHERE attrelid = $1::regclass AND attnum > 0
       AND NOT attisdropped AND attgenerated = '' AND attidentity = '' AND attname <> 'sequence' ORDER BY attnum`,
    [table],
  );
  const names = rows.map(({ name }) => (of === undefined ? name : `${of}.${name}`)).join(', ');
  return of === undefined ? `(${names})` : names;
}

async function pastTheRules(statement: string, values: readonly unknown[]): Promise<void> {
  const client = await world.ownerPool.connect();
  try {
    await client.query("BEGIN; SET LOCAL session_replication_role = 'replica'");
    await client.query(statement, [...values]);
    await client.query('COMMIT');
  } finally {
    client.release();
  }
}

describe('a register', () => {
  it('has its name, operation and days in the name of its file', async () => {
    const answer = await operation.as.owner.get(operation.at('/hay-purchases'), {
      query: { format: 'csv', from: '2026-11-01', until: '2027-01-15' },
      expect: 200,
    });
    expect(answer.headers['content-disposition']).toMatch(
      /^attachment; filename="[a-z0-9-]+_hay-purchases_2026-11-01_2027-01-15\.csv"$/,
    );
    expect(answer.headers['content-type']).toMatch(/^text\/csv; charset=utf-8; header=present/);
    const named = fileName(
      { path: '/v1/operations/:operationId/herds/:herdId/head-changes' },
      { operation: '  Éole & Söhne, "north" ', from: '2026-11-01' },
      'csv',
    );
    expect(named).toBe('eole-sohne-north_head-changes_2026-11-01.csv');
  });

  it('is the whole list: a page of it is refused, by name', async () => {
    const { status, body } = await operation.as.owner.get<{ errors: { parameter: string; code: string }[] }>(
      operation.at('/harvests'),
      { query: { format: 'csv', limit: '10', cursor: 'x' } },
    );
    expect(status).toBe(400);
    expect(body.errors.map((one) => [one.parameter, one.code])).toEqual([
      ['limit', 'not-in-a-file'],
      ['cursor', 'not-in-a-file'],
    ]);
  });

  it('defuses what a spreadsheet would run', async () => {
    const file = await fileOf(REGISTERS.find(([name]) => name === 'listHeadChanges')?.[1] as AnyEndpoint);
    expect(file.map((row) => row['note'])).toContain("'=cmd|calc");
  });

  it('shows no prices to those who do not see them, and nothing to a stranger', async () => {
    const { text } = await operation.as.hand.get(operation.at('/hay-purchases'), {
      query: { format: 'csv', head: 'no' },
      expect: 200,
    });
    const rows = parse<Record<string, string>>(text, { columns: true });
    expect(new Set(rows.map((row) => `${row['price']}${row['landed_cost']}${row['freight']}`))).toEqual(new Set(['']));
    expect((await operation.as.hand.get(operation.at('/yardage-rates'), { query: { format: 'csv' } })).status).toBe(
      403,
    );
    const elsewhere = await operationWith(world, { roles: [] });
    const there = await elsewhere.as.owner.get(operation.at('/hay-purchases'), { query: { format: 'csv' } });
    expect(there.status).toBe(404);
  });

  it('figures of a whole feeding stand on its first line only, so that a column adds up', async () => {
    const file = await fileOf(REGISTERS.find(([name]) => name === 'listFeedings')?.[1] as AnyEndpoint);
    const lines = file.filter((row) => row['id'] === winter.feedingId);
    expect(lines.map((row) => [row['line'], row['hay_lot'], row['weight'], row['total']])).toEqual([
      ['1', 'Coarse meadow', '1200', '1600'],
      ['2', 'Alfalfa, second cutting', '400', ''],
    ]);
  });

  it('of 40,000 rows is read in turns, and none before the one ahead of it was taken', async () => {
    const one = REGISTERS.find(([name]) => name === 'listWaterChecks')?.[1] as AnyEndpoint;
    const there = await pagesOf(one, 200);
    for (let times = 0; times < 4; times += 1) await copied('water_check', idOf(there[0] ?? {}), 10_000);
    let turns = 0;
    const lines = await pullRegister(world, asker(world, operation.people.owner), one, {
      params: paramsOf(one),
      onTurn: () => {
        turns += 1;
      },
    });
    let [pieces, rows, ahead, longest] = [0, 0, 0, 0];
    for await (const piece of lines) {
      const held = piece.split('\r\n').length - 1;
      [pieces, rows, ahead, longest] = [
        pieces + 1,
        rows + held,
        Math.max(ahead, turns - pieces),
        Math.max(longest, held),
      ];
    }
    expect({ rows, ahead, longest, turns, pieces }).toEqual({
      rows: 40_001 + there.length,
      ahead: 1,
      longest: 250,
      turns: 162,
      pieces: 163,
    });
  });
});

describe('the columns', () => {
  it.each(REGISTERS)('of %s begin with what a reader looks for and end with ids', (_name, one) => {
    const names = columnsOf(one).map(({ name }) => name);
    expect(names.at(0)).toMatch(/^name$|_on$|^on(_|$)/);
    expect(
      names.slice(names.findIndex((name) => /^(entry_)?id$/.test(name))).filter((name) => !/(^|_)id$/.test(name)),
    ).toEqual([]);
    expect(formsOf(one)).toEqual(['json', 'csv', 'xlsx']);
  });
});
