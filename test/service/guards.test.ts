/*
 * The database's rules (prisma/guards) on a database that has been there before: one as an earlier release left it, one
 * where a rule was changed, broken and mended, one that two servers start over at once.
 */
import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, unlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import pg from 'pg';
import { ensureAppLogin } from '../../src/platform/database/app-login.js';
import { GuardProblem } from '../../src/platform/database/guards.js';
import { migrate } from '../../src/platform/database/migrate.js';
import { newId } from '../../src/platform/identifiers.js';
import { BEFORE_GUARDS, migrateAsBeforeGuards } from '../support/earlier-release.js';
import { inDatabase } from '../support/test-database.js';
import { openYard, type Yard } from '../support/world.js';

const PRISMA = path.resolve(__dirname, '..', '..', 'prisma');
const GUARDS = readdirSync(path.join(PRISMA, 'guards'))
  .map((file) => path.basename(file, '.sql'))
  .sort();
const MOMENT = '2027-01-15T15:00:00Z';

let yard: Yard;
let prisma: string;
let url: string;
let database: string;
beforeAll(async () => {
  yard = await openYard();
});
afterAll(async () => {
  await yard.close();
});
beforeEach(async () => {
  prisma = mkdtempSync(path.join(tmpdir(), 'rickyard-prisma-'));
  cpSync(PRISMA, prisma, { recursive: true });
  database = `guards_${newId().replaceAll('-', '')}`;
  await yard.ownerPool.query(`CREATE DATABASE ${database} TEMPLATE template0`);
  url = inDatabase(yard.ownerUrl, database);
});
afterEach(async () => {
  rmSync(prisma, { recursive: true, force: true });
  await yard.ownerPool.query(`DROP DATABASE ${database} WITH (FORCE)`);
});

async function ask<Row extends object>(sql: string, values: unknown[] = [], as = url): Promise<Row[]> {
  const client = new pg.Client({ connectionString: as });
  await client.connect();
  try {
    return (await client.query<Row>(sql, values)).rows;
  } finally {
    await client.end();
  }
}
const guardFile = (name: string): string => path.join(prisma, 'guards', `${name}.sql`);
const edit = (name: string, change: (sql: string) => string): void =>
  writeFileSync(guardFile(name), change(readFileSync(guardFile(name), 'utf8')));
const sourceOf = async (name: string): Promise<string | undefined> =>
  (await ask<{ prosrc: string }>(`SELECT prosrc FROM pg_proc WHERE oid = to_regproc($1)`, [name]))[0]?.prosrc;
/** What the guards make, to be held before against after. */
const rules = async (): Promise<object[]> =>
  ask(`
    SELECT 'function' AS kind, p.oid::regprocedure::text AS name, p.prosrc || COALESCE(p.proacl::text, '') AS said
      FROM pg_proc p WHERE p.pronamespace::regnamespace::text LIKE 'rickyard%'
    UNION ALL SELECT 'trigger', t.tgname, pg_get_triggerdef(t.oid) FROM pg_trigger t WHERE NOT t.tgisinternal
    UNION ALL SELECT 'policy', p.policyname, concat_ws(' | ', p.tablename, p.cmd, p.roles::text, p.qual, p.with_check)
      FROM pg_policies p
    UNION ALL SELECT 'right', c.relname, concat_ws(' ', c.relacl::text, c.relrowsecurity, c.relforcerowsecurity)
      FROM pg_class c WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'S', 'v')
    ORDER BY 1, 2, 3`);

describe('a database of before there were guards', () => {
  const operation = newId();
  const owner = newId();
  const lot = newId();

  /** As the release before this one left it: its migrations, and a lot of 1,000 kg in it. */
  async function asItWasLeft(): Promise<void> {
    expect(await migrateAsBeforeGuards(url)).toEqual(BEFORE_GUARDS);
    const ranch = newId();
    await ask("INSERT INTO person (id, email, name) VALUES ($1, 'owner@example.com', 'Owner')", [owner]);
    await ask(
      'INSERT INTO operation (id, name, unit_preference, currency, time_zone, costing_method) ' +
        "VALUES ($1, 'Winter', 'us', 'USD', 'UTC', 'fifo')",
      [operation],
    );
    await ask(
      'INSERT INTO membership (operation_id, id, person_id, role, sees_prices, from_at) ' +
        "VALUES ($1, $2, $3, 'owner', true, '2026-01-01')",
      [operation, newId(), owner],
    );
    await ask("INSERT INTO ranch (operation_id, id, name, time_zone) VALUES ($1, $2, 'Home', 'UTC')", [
      operation,
      ranch,
    ]);
    await ask(
      'INSERT INTO hay_lot (operation_id, id, ranch_id, name, category, hay_kind, origin, bale_form, storage_method) ' +
        "VALUES ($1, $2, $3, 'Stack', 'hay', 'meadow', 'raised', 'round', 'under-roof')",
      [operation, lot, ranch],
    );
    await move(url, 'harvest', 1000, ranch);
  }
  async function move(as: string, kind: string, kilograms: number, ranch?: string): Promise<void> {
    const client = new pg.Client({ connectionString: as });
    await client.connect();
    try {
      await client.query('BEGIN');
      await client.query('SELECT * FROM rickyard.enter($1, NULL, $2, NULL)', [owner, MOMENT]);
      await client.query(
        `INSERT INTO stock_movement (operation_id, id, hay_lot_id, kind, kilograms, typed_value, typed_unit,
           effective_on, effective_at, ranch_id, source_kind, source_id, recorded_by)
         SELECT $1, gen_random_uuid(), $2, $3, $4, '1', 'kg', '2027-01-10', '2027-01-10', COALESCE($5, h.ranch_id),
           'harvest', gen_random_uuid(), $6 FROM hay_lot h WHERE h.id = $2`,
        [operation, lot, kind, kilograms, ranch ?? null, owner],
      );
      await client.query('COMMIT');
    } finally {
      await client.end();
    }
  }
  const rowsOf = async (): Promise<object[]> =>
    ask(`SELECT (SELECT to_jsonb(o) - '{second_factor_required,key_days_most,consultant_hours_most}'::text[]
        FROM operation o) AS operation,
      (SELECT to_jsonb(m) - '{confirmed_at,confirmed_by}'::text[] FROM membership m) AS membership,
      (SELECT to_jsonb(h) FROM hay_lot h) AS lot, (SELECT jsonb_agg(m) FROM stock_movement m) AS movements`);

  it('gets every guard and keeps every row; the guards decide over it, and a second start does nothing', async () => {
    await asItWasLeft();
    const rows = await rowsOf();
    expect(await migrate(url, prisma)).toMatchObject({ guards: GUARDS });
    expect(await rowsOf()).toEqual(rows);
    // Whoever belonged before confirmations were asked belongs still.
    expect(await ask('SELECT 1 AS open FROM membership WHERE confirmed_at <= now()')).toEqual([{ open: 1 }]);
    expect(await ask('SELECT name FROM rickyard.applied_guard ORDER BY 1')).toEqual(GUARDS.map((name) => ({ name })));

    const app = await ensureAppLogin(url);
    await expect(move(app, 'feed', -1001)).rejects.toMatchObject({ code: 'RY001' });
    await move(app, 'feed', -1000);
    expect(await ask('SELECT * FROM stock_movement', [], app)).toEqual([]);

    const before = await rules();
    expect(await migrate(url, prisma)).toEqual({ migrations: [], guards: [] });
    expect(await rules()).toEqual(before);
  });

  it('ends up with the very rules of a database made anew', async () => {
    await asItWasLeft();
    await migrate(url, prisma);
    const upgraded = await rules();
    await yard.ownerPool.query(`DROP DATABASE ${database} WITH (FORCE)`);
    await yard.ownerPool.query(`CREATE DATABASE ${database} TEMPLATE template0`);
    await migrate(url, prisma);
    expect(upgraded.length).toBeGreaterThan(400);
    expect(await rules()).toEqual(upgraded);
  });
});

describe('guards', () => {
  beforeEach(async () => {
    await migrate(url, prisma);
  });

  it('are applied again when one was changed, and the changed ones are named', async () => {
    edit('62-audit', (sql) => sql.replace("'yes', true", "'yes' /* changed */, true"));
    expect(await migrate(url, prisma)).toEqual({ migrations: [], guards: ['62-audit'] });
    expect(await sourceOf('rickyard.chain_audit_entry')).toContain('/* changed */');
    expect(await migrate(url, prisma)).toEqual({ migrations: [], guards: [] });
  });

  it('that fail leave every rule as it was, and once mended are applied', async () => {
    const before = await rules();
    edit('50-append-only', (sql) => sql.replaceAll('never by an edit', 'and by nothing else'));
    edit('72-trials', (sql) => `${sql}\nSELECT 1/0;`);
    await expect(migrate(url, prisma)).rejects.toThrow(GuardProblem);
    await expect(migrate(url, prisma)).rejects.toThrow(/72-trials.*division by zero/);
    expect(await rules()).toEqual(before);

    edit('72-trials', (sql) => sql.replace('\nSELECT 1/0;', ''));
    expect(await migrate(url, prisma)).toEqual({ migrations: [], guards: ['50-append-only'] });
    expect(await sourceOf('rickyard.refuse_change')).toContain('and by nothing else');
  });

  it('come over a table of a later migration as well', async () => {
    const folder = path.join(prisma, 'migrations', '20990101000001_later');
    cpSync(path.join(prisma, 'migrations', '20261125000071_lapsed_engagements'), folder, { recursive: true });
    writeFileSync(
      path.join(folder, 'migration.sql'),
      'CREATE TABLE later (operation_id uuid NOT NULL, id uuid NOT NULL, PRIMARY KEY (operation_id, id));',
    );
    expect(await migrate(url, prisma)).toEqual({ migrations: ['20990101000001_later'], guards: GUARDS });
    expect(await ask("SELECT policyname FROM pg_policies WHERE tablename = 'later'")).toEqual([
      { policyname: 'later_erase' },
    ]);
  });

  it('take away what no file says any more: functions, triggers, policies, rights', async () => {
    const before = await rules();
    await ask(`
      CREATE FUNCTION rickyard.stray() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RETURN NEW; END $$;
      CREATE TRIGGER stray BEFORE INSERT ON herd FOR EACH ROW EXECUTE FUNCTION rickyard.stray();
      CREATE POLICY stray ON herd FOR DELETE USING (true);
      GRANT DELETE ON herd TO rickyard_app;`);
    expect(await rules()).not.toEqual(before);
    writeFileSync(guardFile('95-passing'), 'SELECT 1;');
    expect((await migrate(url, prisma)).guards).toEqual(['95-passing']);
    expect(await rules()).toEqual(before);
    unlinkSync(guardFile('95-passing'));
    expect((await migrate(url, prisma)).guards).toEqual(['95-passing']);
    expect(await ask("SELECT 1 FROM rickyard.applied_guard WHERE name = '95-passing'")).toEqual([]);
  });

  it('make the check of a column anew where its list changed, and leave the others alone', async () => {
    const checks = async (): Promise<{ conname: string; oid: string; says: string }[]> =>
      ask(`SELECT conname, oid, pg_get_constraintdef(oid) AS says FROM pg_constraint
            WHERE conname LIKE '%\\_words' ORDER BY 1`);
    const before = await checks();
    await ask('ALTER TABLE place ADD CONSTRAINT place_stray_words CHECK (true)');
    edit('25-words', (sql) => sql.replace("'stackyard', 'barn',", "'stackyard', 'barn', 'sick-pen',"));
    expect((await migrate(url, prisma)).guards).toEqual(['25-words']);
    const after = await checks();
    expect(after.map((check) => check.conname)).toEqual(before.map((check) => check.conname));
    const changed = after.filter((check, index) => check.oid !== before[index]?.oid);
    expect(changed.map((check) => check.conname)).toEqual(['place_kind_words']);
    expect(changed[0]?.says).toContain("'sick-pen'");
  });

  it('from two servers at once are applied once', async () => {
    await ask('CREATE TABLE rickyard_times (at timestamptz)');
    writeFileSync(guardFile('95-counted'), 'INSERT INTO public.rickyard_times VALUES (clock_timestamp());');
    const both = await Promise.all([migrate(url, prisma), migrate(url, prisma)]);
    expect(both.map((done) => done.guards).sort()).toEqual([[], ['95-counted']]);
    expect(await ask('SELECT 1 FROM rickyard_times')).toHaveLength(1);
  });

  it('wait for what a running server is doing, and do not stop at a deadlock with it', async () => {
    const client = new pg.Client({ connectionString: url });
    await client.connect();
    try {
      await client.query('BEGIN');
      await client.query('LOCK TABLE yardage_rate IN ROW EXCLUSIVE MODE');
      writeFileSync(guardFile('95-passing'), 'SELECT 1;');
      const applying = migrate(url, prisma);
      await untilSomebodyWaits();
      await client.query('LOCK TABLE account_map IN ROW EXCLUSIVE MODE').catch(() => undefined);
      await client.query('ROLLBACK');
      expect((await applying).guards).toEqual(['95-passing']);
    } finally {
      await client.end();
    }
  });

  async function untilSomebodyWaits(): Promise<void> {
    for (;;) {
      const waiting = await ask("SELECT 1 FROM pg_stat_activity WHERE datname = $1 AND wait_event_type = 'Lock'", [
        database,
      ]);
      if (waiting.length > 0) return;
      await new Promise((resolve) => setTimeout(resolve, 20));
    }
  }

  it('and their record are out of the reach of the server', async () => {
    const app = await ensureAppLogin(url);
    for (const statement of [
      "UPDATE rickyard.applied_guard SET digest = ''",
      'DELETE FROM rickyard.applied_guard',
      'CREATE FUNCTION rickyard.stray() RETURNS int LANGUAGE sql AS $$ SELECT 1 $$',
    ])
      await expect(ask(statement, [], app)).rejects.toMatchObject({ code: '42501' });
  });
});
