import { readFileSync } from 'node:fs';
import path from 'node:path';
import { type Operation, operationWith } from '../support/people.js';
import { herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';
import { processorTime } from './cpu.js';
import { median, report } from './figure.js';
import { profiled } from './profile.js';

/**
 * Feedings of one lot from a file: against COPY of the same rows into the same tables, and against the same file with
 * the first guard, which went through the lot's whole history at every draw.
 */

const ROWS = Number(process.env['ROWS'] ?? '4000');
const PAIRS = 3;
jest.setTimeout(1_800_000);

const firstGuard = (): string => {
  const guards = readFileSync(
    path.resolve(__dirname, '..', '..', 'prisma', 'migrations', '20261125000002_guards', 'migration.sql'),
    'utf8',
  );
  const found = /CREATE FUNCTION (rickyard\.check_lot_balance[\s\S]*?END \$\$;)/.exec(guards);
  if (found?.[1] === undefined) throw new Error('The first guard is not where it was');
  return `CREATE OR REPLACE FUNCTION ${found[1]}`;
};

const file = (rows: number): string => {
  const day = (index: number): string =>
    new Date(Date.UTC(2026, 10, 2) + Math.floor((index * 70) / rows) * 86_400_000).toISOString().slice(0, 10);
  return [
    'herd,fed_on,method,role,lot,weight_lb',
    ...Array.from(
      { length: rows },
      // Of one day no two weigh the same: they would be asked about as doubles.
      (_, index) => `Weaned calves,${day(index)},windrow-on-ground,mixed,Stack,${(1 + (index % 97) / 100).toFixed(2)}`,
    ),
  ].join('\r\n');
};

async function yard(world: World): Promise<Operation> {
  const operation = await operationWith(world);
  const ranchId = await ranch(operation);
  await herd(operation, ranchId);
  await lot(operation, ranchId, { name: 'Stack', tons: '24' });
  return operation;
}

async function taken(operation: Operation, rows: number): Promise<void> {
  const { body } = await operation.as.manager.post<{ recordCount: number }>(
    operation.at('/imports/feedings'),
    file(rows),
    { headers: { 'Content-Type': 'text/csv' }, expect: 201 },
  );
  expect(body.recordCount).toBe(rows);
}

async function minutesOf(world: World): Promise<number> {
  const operation = await yard(world);
  const began = performance.now();
  await taken(operation, ROWS);
  return (performance.now() - began) / 60_000;
}

/** What a feeding is in the ledger: these tables, with the columns in which each of its ids stands. */
const LAID: readonly (readonly [string, readonly string[]])[] = [
  ['feeding', ['id']],
  ['feeding_layer', ['feeding_id']],
  ['stock_movement', ['id', 'source_id']],
];

/** Writes the feedings of an operation to files, under other ids, for COPY to read. The text of the statements. */
async function copiesOf(world: World, operation: Operation): Promise<string[]> {
  const statements: string[] = [];
  const { rows: folder } = await world.ownerPool.query<{ at: string }>(
    "SELECT current_setting('data_directory') AS at",
  );
  for (const [table, ids] of LAID) {
    const { rows } = await world.ownerPool.query<{ name: string }>(
      `SELECT attname AS name FROM pg_attribute WHERE attrelid = $1::regclass AND attnum > 0 AND NOT attisdropped
        AND attname <> 'sequence' ORDER BY attnum`,
      [table],
    );
    const columns = rows.map(({ name }) => name);
    const values = columns.map((name) => (ids.includes(name) ? `md5(${name}::text || 'again')::uuid` : name));
    const place = `${folder[0]?.at ?? ''}/${table}.copy`;
    await world.ownerPool.query(
      `COPY (SELECT ${values.join(', ')} FROM ${table} WHERE operation_id = '${operation.id}'
        ${table === 'stock_movement' ? "AND kind = 'feed'" : ''}) TO '${place}'`,
    );
    statements.push(`COPY ${table} (${columns.join(', ')}) FROM '${place}'`);
  }
  return statements;
}

describe('an import of feedings', () => {
  let world: World;
  beforeAll(async () => {
    world = await openWorld();
  });
  afterAll(() => world.close());

  it.each([200, ROWS])('%i rows against COPY', async (rows) => {
    const times: { ours: number; copy: number }[] = [];
    const spent = { ours: { here: 0, database: 0 }, byHand: { here: 0, database: 0 } };
    for (let pair = 0; pair <= PAIRS; pair += 1) {
      const operation = await yard(world);
      const began = performance.now();
      spent.ours = await processorTime(1, () => taken(operation, rows), world.ownerPool);
      const ours = performance.now() - began;
      const statements = await copiesOf(world, operation);
      const copying = performance.now();
      const copy = ['BEGIN', ...statements, 'COMMIT'].join(';');
      spent.byHand = await processorTime(1, () => world.ownerPool.query(copy), world.ownerPool);
      // The first pair only warms up.
      if (pair > 0) times.push({ ours, copy: performance.now() - copying });
    }
    await profiled(`feedings-import-${rows}-rows`, async () => taken(await yard(world), rows));
    report({
      bench: `feedings-import-${rows}-rows`,
      spent,
      value: Math.round((rows / median(times.map(({ ours }) => ours))) * 1000),
      unit: 'rows a second',
      baseline: 'COPY of the same feedings, layers and movements, constraints and triggers as they stand',
      baselineValue: Math.round((rows / median(times.map(({ copy }) => copy))) * 1000),
      ratio: median(times.map(({ ours, copy }) => copy / ours)),
      goal: { ratioAtLeast: 0.4 },
    });
  });

  it('rows a minute, all of one lot', async () => {
    const { rows } = await world.ownerPool.query<{ now: string }>(
      "SELECT pg_get_functiondef('rickyard.check_lot_balance'::regproc) AS now",
    );
    const measured = await minutesOf(world);
    await world.ownerPool.query(firstGuard());
    const baseline = await minutesOf(world);
    await world.ownerPool.query(rows[0]?.now ?? '');
    report({
      bench: `feedings-import-${ROWS}-rows-of-one-lot`,
      value: Math.round(ROWS / measured),
      unit: 'rows a minute',
      baseline: 'the same with the whole history of the lot summed at each draw',
      baselineValue: Math.round(ROWS / baseline),
    });
  });
});
