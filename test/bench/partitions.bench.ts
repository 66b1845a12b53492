import pg from 'pg';
import { openYard, type Yard } from '../support/world.js';
import { inTurns, report } from './figure.js';

/**
 * Whether hash partitions of the ledger by operation would pay: its hottest statements on the table as it is, and on
 * the same table in parts, with the same rows, indexes and policies. Foreign keys and triggers are left out on both
 * sides: they read the lot, not the ledger's rows. Rows come in by the day, as ranches enter them.
 */
const OPERATIONS = 300;
const ROWS = 1_000_000;
const LOTS = 40;
const DAYS = ROWS / OPERATIONS;
const ROUNDS = 200;
const AS_IT_IS = 'the same statement on one table';
jest.setTimeout(3_600_000);

const id = (kind: number, number: string): string =>
  `('00000000-0000-7000-800${kind}-' || lpad(to_hex(${number}), 12, '0'))::uuid`;
const operationId = (number: number): string => `00000000-0000-7000-8001-${number.toString(16).padStart(12, '0')}`;
const lotId = (number: number): string => `00000000-0000-7000-8002-${number.toString(16).padStart(12, '0')}`;

interface Statement {
  name: string;
  text: (table: string) => string;
  values: (round: number) => unknown[];
}

/** Another operation each round, so that no side lives in its cache alone. */
const whose = (round: number): number => (round * 7919) % OPERATIONS;
const STATEMENTS: readonly Statement[] = [
  {
    name: "a feeding's three movements",
    text: (table) => `INSERT INTO ${table} (operation_id, id, hay_lot_id, kind, kilograms, typed_value, typed_unit,
        effective_on, effective_at, ranch_id, source_kind, source_id, recorded_by)
      SELECT $1, gen_random_uuid(), lot, 'feed', -181.436948, '400', 'lb', '2027-01-14', '2027-01-14 20:00Z', $1,
        'feeding', gen_random_uuid(), $1 FROM unnest($2::uuid[]) AS lot`,
    values: (round) => [operationId(whose(round)), [1, 2, 3].map((lot) => lotId(lot))],
  },
  {
    name: 'the balance of a lot',
    text: (table) => `SELECT hay_lot_id, sum(kilograms) AS kilograms FROM ${table}
      WHERE operation_id = $1 AND hay_lot_id = $2 GROUP BY hay_lot_id`,
    values: (round) => [operationId(whose(round)), lotId(round % LOTS)],
  },
  {
    name: 'a winter by lot',
    text: (table) => `SELECT hay_lot_id, sum(kilograms) AS kilograms FROM ${table}
      WHERE operation_id = $1 AND effective_on BETWEEN $2 AND $3 GROUP BY hay_lot_id`,
    values: (round) => [operationId(whose(round)), '2025-11-01', '2026-04-30'],
  },
  {
    name: 'the latest 50',
    text: (table) => `SELECT * FROM ${table} WHERE operation_id = $1 ORDER BY sequence DESC LIMIT 50`,
    values: (round) => [operationId(whose(round))],
  },
];

const ENTER = `SELECT set_config('rickyard.may_read', $1, true), set_config('rickyard.may_daily', $1, true)`;

/** As the application sends it: under the policies, prepared or for the first time, in a transaction of its own. */
async function sent(
  client: pg.Client,
  { name, text, values }: Statement,
  table: string,
  round: number,
  prepared: boolean,
): Promise<void> {
  const [operation] = values(round) as [string];
  await client.query('BEGIN');
  await client.query({ name: 'enter', text: ENTER, values: [`{${operation}}`] });
  const statement = { text: text(table), values: values(round) };
  await client.query(prepared ? { ...statement, name: `${name} ${table}`.slice(0, 60) } : statement);
  await client.query('COMMIT');
}

/** `bench.whole` and `bench.parts`: the ledger's columns, indexes, policies and rights. */
async function makeTables({ ownerPool }: Yard, parts: number): Promise<void> {
  await ownerPool.query(`DROP SCHEMA IF EXISTS bench CASCADE; CREATE SCHEMA bench;
    GRANT USAGE ON SCHEMA bench TO rickyard_app;
    CREATE TABLE bench.whole (LIKE stock_movement INCLUDING DEFAULTS);
    CREATE TABLE bench.parts (LIKE stock_movement INCLUDING DEFAULTS) PARTITION BY HASH (operation_id)`);
  for (let part = 0; part < parts; part += 1)
    await ownerPool.query(
      `CREATE TABLE bench.part_${part} PARTITION OF bench.parts FOR VALUES WITH (MODULUS ${parts}, REMAINDER ${part})`,
    );
  await ownerPool.query(`INSERT INTO bench.whole (operation_id, id, hay_lot_id, kind, kilograms, typed_value,
      typed_unit, effective_on, effective_at, ranch_id, source_kind, source_id, recorded_by)
    SELECT ${id(1, `n % ${OPERATIONS}`)}, gen_random_uuid(), ${id(2, `n / ${OPERATIONS} % ${LOTS}`)}, 'feed',
      -181.436948, '400', 'lb', day, day + time '20:00', ${id(3, `n % ${OPERATIONS}`)}, 'feeding', gen_random_uuid(),
      ${id(4, '1')}
    FROM (SELECT n, date '2027-01-13' - ${Math.floor(DAYS)} + n / ${OPERATIONS} AS day
      FROM generate_series(0, ${ROWS - 1}) AS n) AS made`);
  await ownerPool.query('INSERT INTO bench.parts SELECT * FROM bench.whole');
  const { rows: indexes } = await ownerPool.query<{ made: string }>(
    `SELECT pg_get_indexdef(indexrelid) AS made FROM pg_index WHERE indrelid = 'stock_movement'::regclass`,
  );
  const { rows: policies } = await ownerPool.query<{ command: string; name: string; condition: string }>(
    `SELECT cmd AS command, policyname AS name, COALESCE('USING (' || qual || ')', 'WITH CHECK (' || with_check || ')')
       AS condition FROM pg_policies WHERE schemaname = 'public' AND tablename = 'stock_movement'`,
  );
  for (const table of ['bench.whole', 'bench.parts']) {
    for (const { made } of indexes)
      await ownerPool.query(made.replace(/INDEX \S+ ON (ONLY )?public\.stock_movement/, `INDEX ON ${table}`));
    for (const { command, name, condition } of policies)
      await ownerPool.query(`CREATE POLICY ${name} ON ${table} FOR ${command} ${condition}`);
    await ownerPool.query(`ALTER TABLE ${table} ENABLE ROW LEVEL SECURITY;
      ALTER TABLE ${table} FORCE ROW LEVEL SECURITY;
      GRANT SELECT, INSERT ON ${table} TO rickyard_app`);
  }
  expect([indexes.length, policies.length]).toEqual([6, 3]);
  await ownerPool.query('VACUUM ANALYZE bench.whole');
  await ownerPool.query('VACUUM ANALYZE bench.parts');
}

describe.each([16, 64])('in %i parts', (parts) => {
  let yard: Yard;
  let client: pg.Client;
  beforeAll(async () => {
    yard = await openYard();
    await makeTables(yard, parts);
    client = new pg.Client({ connectionString: yard.appUrl });
    await client.connect();
  });
  afterAll(async () => {
    await client.end();
    await yard.close();
  });

  it.each(
    STATEMENTS.flatMap((statement) => [true, false].map((prepared) => [statement.name, prepared, statement] as const)),
  )('%s, prepared: %s', async (name, prepared, statement) => {
    let [whole, partly] = [0, 0];
    const times = await inTurns(
      ROUNDS,
      () => sent(client, statement, 'bench.parts', (partly += 1), prepared),
      () => sent(client, statement, 'bench.whole', (whole += 1), prepared),
    );
    report({
      bench: `${parts}-partitions: ${name}${prepared ? '' : ', planned anew'}`,
      value: Number(times.measured.toFixed(3)),
      unit: 'ms',
      baseline: AS_IT_IS,
      baselineValue: Number(times.baseline.toFixed(3)),
    });
  });
});
