/*
 * What must hold for every table, asked of the database itself, so that the next table cannot be forgotten. Where something is exempt, the
 * reason stands beside it.
 */
import { newId } from '../../src/platform/identifiers.js';
import { openYard, type Yard } from '../support/world.js';

let yard: Yard;
beforeAll(async () => {
  yard = await openYard();
});
afterAll(async () => {
  await yard.close();
});

const ask = async <Row extends object>(sql: string): Promise<Row[]> => (await yard.ownerPool.query<Row>(sql)).rows;
/** Prisma's own ledger of migrations; the app has no right to it. */
const NOT_OURS = "c.relname <> '_prisma_migrations'";
const OUR_TABLES = `FROM pg_class c WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p') AND ${NOT_OURS}`;
const HAS_OPERATION = "EXISTS (SELECT 1 FROM pg_attribute a WHERE a.attrelid = c.oid AND a.attname = 'operation_id' AND NOT a.attisdropped)";

/** Tables that belong to no one operation. */
const OF_NO_OPERATION = {
  operation: 'is the operation',
  person: 'may belong to several operations',
  person_key: 'is a person\'s',
  person_session: 'is a person\'s',
  recovery_code: 'is a person\'s',
  second_factor: 'is a person\'s',
  session_token: 'is a person\'s',
  engagement_proposal: 'goes to a person\'s email; which operation it is about, that person says',
  erased_operation: 'is what is left when the operation is gone',
  sign_in_attempt: 'is counted before anybody is known',
  idempotency_record: 'is the actor\'s own, before an operation is known to exist',
};

describe('every table', () => {
  it('is guarded by row-level security, also against its owner, by policies for what the app may do', async () => {
    expect((await ask(`SELECT c.relname ${OUR_TABLES}`)).length).toBeGreaterThan(25);
    expect(await ask(`SELECT c.relname ${OUR_TABLES} AND NOT (c.relrowsecurity AND c.relforcerowsecurity)`)).toEqual([]);
    expect(await ask(`SELECT c.relname ${OUR_TABLES} AND NOT EXISTS (SELECT 1 FROM pg_policy p WHERE p.polrelid = c.oid)`)).toEqual([]);
    // A right without a policy is a door that looks open and is shut; a policy that ignores who is asking is one that stands open.
    const granted = await ask(`
      SELECT g.table_name, g.privilege_type FROM information_schema.role_table_grants g
       WHERE g.grantee = 'rickyard_app' AND g.table_schema = 'public' AND NOT EXISTS (
         SELECT 1 FROM pg_policies p WHERE p.schemaname = 'public' AND p.tablename = g.table_name AND p.cmd IN ('ALL', g.privilege_type))`);
    expect(granted).toEqual([]);
    expect(await ask("SELECT tablename, policyname FROM pg_policies WHERE schemaname = 'public' AND COALESCE(qual, '') || COALESCE(with_check, '') !~ 'rickyard\\.|membership'")).toEqual([]);
    expect(await ask("SELECT tablename, policyname FROM pg_policies WHERE schemaname = 'public' AND permissive <> 'PERMISSIVE'")).toEqual([]);
    // Who may read a row of an operation is decided by its operation, or it is the row of the one asking.
    const elsewhere = await ask(`
      SELECT p.tablename, p.policyname FROM pg_policies p WHERE p.schemaname = 'public' AND p.cmd IN ('SELECT', 'ALL') AND p.qual !~ 'operation_id|rickyard\\.person|rickyard\\.setting'
         AND EXISTS (SELECT 1 FROM pg_attribute a WHERE a.attrelid = ('public.' || quote_ident(p.tablename))::regclass AND a.attname = 'operation_id')`);
    expect(elsewhere).toEqual([]);
  });

  it('leads its primary key with the operation, or has a reason not to', async () => {
    const without = await ask<{ relname: string }>(`SELECT c.relname ${OUR_TABLES} AND NOT ${HAS_OPERATION} ORDER BY 1`);
    expect(without.map((row) => row.relname)).toEqual(Object.keys(OF_NO_OPERATION).sort());
    const led = await ask(`
      SELECT c.relname ${OUR_TABLES} AND ${HAS_OPERATION} AND NOT EXISTS (
        SELECT 1 FROM pg_index i JOIN pg_attribute a ON a.attrelid = i.indrelid AND a.attnum = i.indkey[0]
         WHERE i.indrelid = c.oid AND i.indisprimary AND a.attname = 'operation_id')`);
    expect(led).toEqual([]);
  });

  it('of an operation refers to other such tables by operation and id, so that no reference can cross', async () => {
    const crossing = await ask(`
      SELECT f.conname FROM pg_constraint f
       WHERE f.contype = 'f' AND f.connamespace = 'public'::regnamespace
         AND EXISTS (SELECT 1 FROM pg_attribute a WHERE a.attrelid = f.conrelid AND a.attname = 'operation_id')
         AND EXISTS (SELECT 1 FROM pg_attribute a WHERE a.attrelid = f.confrelid AND a.attname = 'operation_id')
         AND (SELECT a.attname FROM pg_attribute a WHERE a.attrelid = f.conrelid AND a.attnum = f.conkey[1]) <> 'operation_id'`);
    expect(crossing).toEqual([]);
  });

  it('refers by a foreign key wherever a column is named for another record', async () => {
    const free = await ask<{ column: string }>(`
      SELECT c.relname || '.' || a.attname AS column FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid
       WHERE c.relnamespace = 'public'::regnamespace AND c.relkind = 'r' AND ${NOT_OURS} AND a.attname LIKE '%\\_id' AND a.atttypid = 'uuid'::regtype AND NOT a.attisdropped
         AND NOT EXISTS (SELECT 1 FROM pg_constraint f WHERE f.conrelid = c.oid AND f.contype = 'f' AND a.attnum = ANY (f.conkey))
         -- A column beside it says of which kind the record is; one key cannot refer to several tables.
         AND NOT EXISTS (SELECT 1 FROM pg_attribute k WHERE k.attrelid = c.oid AND k.attname = regexp_replace(a.attname, '_id$', '_kind')) ORDER BY 1`);
    const reasons = {
      'audit_entry.api_key_id': 'the chain outlives what it speaks of',
      'audit_entry.person_id': 'the chain outlives what it speaks of',
      'denied_attempt.api_key_id': 'may never have been a key',
      'denied_attempt.person_id': 'may never have been a person',
      'head_change.move_id': 'ties the two sides of a move together; there is no record of its own',
      'late_posting.corrects_id': 'of the kind of its subject, named by subject_kind',
    };
    expect(free.map((row) => row.column)).toEqual(Object.keys(reasons).sort());
  });

  it('holds instants with their zone, days as days, and no float in money or mass', async () => {
    expect(await ask("SELECT table_name, column_name, data_type FROM information_schema.columns WHERE table_schema = 'public' AND table_name <> '_prisma_migrations' AND data_type IN ('timestamp without time zone', 'time without time zone', 'real', 'double precision', 'money', 'character varying')")).toEqual([]);
    expect(await ask("SELECT table_name, column_name FROM information_schema.columns WHERE table_schema = 'public' AND column_name LIKE '%\\_on' AND data_type <> 'date'")).toEqual([]);
    expect(await ask("SELECT table_name, column_name FROM information_schema.columns WHERE table_schema = 'public' AND table_name <> '_prisma_migrations' AND column_name LIKE '%\\_at' AND data_type <> 'timestamp with time zone'")).toEqual([]);
  });

  it('indexes what its rows are looked up by: every foreign key to a record of the operation is led by one', async () => {
    const unindexed = await ask<{ conname: string }>(`
      SELECT f.conrelid::regclass || ' -> ' || f.confrelid::regclass AS conname FROM pg_constraint f
       WHERE f.contype = 'f' AND f.connamespace = 'public'::regnamespace AND f.confrelid IN ('herd'::regclass, 'hay_lot'::regclass, 'ranch'::regclass)
         AND f.conrelid IN ('stock_movement'::regclass, 'feeding'::regclass, 'weigh_in'::regclass, 'head_change'::regclass, 'lab_test'::regclass, 'stock_cost'::regclass, 'feeding_layer'::regclass)
         AND NOT EXISTS (SELECT 1 FROM pg_index i WHERE i.indrelid = f.conrelid AND (string_to_array(i.indkey::text, ' ')::int2[])[1:2] = f.conkey[1:2]) ORDER BY 1`);
    const reasons = {
      'feeding -> ranch': 'asked for by herd and day',
      'head_change -> herd': 'the other herd of a move is only shown',
      'stock_movement -> herd': 'asked for by lot or by day',
      'stock_movement -> ranch': 'asked for by lot or by day',
    };
    expect(unindexed.map((row) => row.conname)).toEqual(Object.keys(reasons).sort());
  });
});

describe('the app\'s role', () => {
  it('owns nothing and can make nothing', async () => {
    expect(await ask("SELECT c.relname FROM pg_class c JOIN pg_roles r ON r.oid = c.relowner WHERE r.rolname = 'rickyard_app' OR pg_has_role(r.oid, 'rickyard_app', 'member') AND NOT r.rolsuper")).toEqual([]);
    expect(await ask("SELECT p.proname FROM pg_proc p JOIN pg_roles r ON r.oid = p.proowner WHERE r.rolname = 'rickyard_app'")).toEqual([]);
    expect(await ask("SELECT n.nspname FROM pg_namespace n WHERE has_schema_privilege('rickyard_app', n.oid, 'CREATE') AND n.nspname NOT LIKE 'pg\\_temp%'")).toEqual([]);
    expect(await ask("SELECT rolname FROM pg_roles WHERE rolname = 'rickyard_app' AND (rolsuper OR rolbypassrls OR rolcreaterole OR rolcreatedb OR rolcanlogin)")).toEqual([]);
    await expect(yard.appPool.query(`CREATE TABLE public.t_${newId().replaceAll('-', '')} (id int)`)).rejects.toMatchObject({ code: '42501' });
  });

  it('cannot read the ledger of migrations, nor become somebody else', async () => {
    await expect(yard.appPool.query('SELECT * FROM _prisma_migrations')).rejects.toMatchObject({ code: '42501' });
    await expect(yard.appPool.query('SET ROLE rickyard_owner')).rejects.toThrow();
    await expect(yard.appPool.query("SET session_replication_role = 'replica'")).rejects.toMatchObject({ code: '42501' });
    await expect(yard.appPool.query('ALTER TABLE stock_movement DISABLE TRIGGER ALL')).rejects.toMatchObject({ code: '42501' });
    await expect(yard.appPool.query('ALTER TABLE hay_lot DISABLE ROW LEVEL SECURITY')).rejects.toMatchObject({ code: '42501' });
  });
});

describe('ways around row-level security', () => {
  it('are not there: no view runs as its owner, no function as its definer, without a reason here', async () => {
    const views = await ask("SELECT c.relname FROM pg_class c WHERE c.relnamespace IN ('public'::regnamespace, 'rickyard'::regnamespace) AND c.relkind IN ('v', 'm') AND NOT COALESCE(c.reloptions, '{}') @> ARRAY['security_invoker=true']");
    expect(views).toEqual([]);
    const definers = await ask<{ name: string; keeps: string[] | null }>("SELECT p.pronamespace::regnamespace || '.' || p.proname AS name, p.proconfig AS keeps FROM pg_proc p WHERE p.pronamespace::regnamespace::text !~ '^(pg_|information_schema)' AND p.prosecdef ORDER BY 1");
    const reasons = {
      'rickyard_erasure.erase_operation': 'erases an operation whose owner asked for it and waited; checks both again',
      'rickyard_erasure.erase_rows': 'the eraser\'s own work, which the entries\' guards refuse to everybody else',
    };
    expect(definers.map((row) => row.name)).toEqual(Object.keys(reasons).sort());
    // A definer that looks names up where the caller says would run the caller's code.
    for (const { name, keeps } of definers) expect({ name, fixed: keeps?.some((one) => one.startsWith('search_path=')) }).toEqual({ name, fixed: true });
  });
});

describe('guards', () => {
  it('are all switched on', async () => {
    expect(await ask("SELECT t.tgname, t.tgenabled FROM pg_trigger t WHERE NOT t.tgisinternal AND t.tgenabled <> 'O'")).toEqual([]);
    const named = (await ask<{ tgname: string }>('SELECT t.tgname FROM pg_trigger t WHERE NOT t.tgisinternal')).map((row) => row.tgname);
    expect(named).toEqual(expect.arrayContaining(['stock_movement_balance', 'stock_movement_reversal', 'head_change_head', 'audit_entry_chain']));
  });

  it.each([
    ['a draw that adds hay', "INSERT INTO stock_movement (operation_id, id, hay_lot_id, kind, kilograms, typed_value, typed_unit, effective_on, effective_at, ranch_id, source_kind, source_id, recorded_by) SELECT $1, $1, $1, 'feed', 5, '5', 'kg', '2027-01-01', '2027-01-01', $1, 'x', $1, $1", 'stock_movement_sign'],
    ['a movement of nothing', "INSERT INTO stock_movement (operation_id, id, hay_lot_id, kind, kilograms, typed_value, typed_unit, effective_on, effective_at, ranch_id, source_kind, source_id, recorded_by) SELECT $1, $1, $1, 'feed', 0, '0', 'kg', '2027-01-01', '2027-01-01', $1, 'x', $1, $1", 'stock_movement_sign'],
    ['a reversal of nothing', "INSERT INTO stock_movement (operation_id, id, hay_lot_id, kind, kilograms, typed_value, typed_unit, effective_on, effective_at, ranch_id, source_kind, source_id, recorded_by) SELECT $1, $1, $1, 'reversal', 5, '5', 'kg', '2027-01-01', '2027-01-01', $1, 'x', $1, $1", 'stock_movement_reversal_link'],
    ['a death that adds an animal', "INSERT INTO head_change (operation_id, id, herd_id, kind, head, happened_on, recorded_by) SELECT $1, $1, $1, 'death', 1, '2027-01-01', $1", 'head_change_sign'],
    ['a costing method that is none', "INSERT INTO operation (id, name, unit_preference, currency, time_zone, costing_method) SELECT $1, 'x', 'us', 'USD', 'UTC', 'lifo'", 'operation_costing'],
    ['units that are none', "INSERT INTO operation (id, name, unit_preference, currency, time_zone, costing_method) SELECT $1, 'x', 'stone', 'USD', 'UTC', 'fifo'", 'operation_units'],
  ])('refuse %s', async (_name, sql, constraint) => {
    await expect(yard.ownerPool.query(sql, [newId()])).rejects.toMatchObject({ code: '23514', constraint });
  });
});
