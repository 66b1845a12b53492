import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import pg from 'pg';
import { MAY_ACT_AS_OWN_ROLES } from './owner-session.js';

/** One file of prisma/guards: a current rule of the database. */
interface Guard {
  name: string;
  sql: string;
  digest: string;
}

export class GuardProblem extends Error {
  override name = 'GuardProblem';
}

const TRIES = 4;
/** PostgreSQL's deadlock error: a running server may be reading meanwhile. */
const DEADLOCK = '40P01';

/**
 * Brings the functions, triggers, policies and grants of the database at `url` to what the files of `folder` say, in
 * the order of their names. They are one state: if a file was added, changed or removed since, or a migration was
 * applied, all of them are applied, and anything that none of them makes is dropped. All in one transaction under a
 * lock, with its record: a file that fails leaves everything as it was and can be applied again once corrected.
 * @returns the names of the files that changed, or of all after a migration; none if the database was current.
 * @throws GuardProblem that names the file and what the database said.
 */
export async function applyGuards(url: string, folder: string): Promise<string[]> {
  const guards = readGuards(folder);
  const client = new pg.Client({ connectionString: url });
  await client.connect();
  try {
    await client.query(MAY_ACT_AS_OWN_ROLES);
    for (let attempt = 1; ; attempt += 1) {
      try {
        return await inOneTransaction(client, guards);
      } catch (error) {
        if ((error as { code?: unknown }).code !== DEADLOCK || attempt === TRIES) throw error;
      }
    }
  } finally {
    await client.end();
  }
}

/** The files of the folder, in the order in which they are applied. */
export function readGuards(folder: string): Guard[] {
  return readdirSync(folder)
    .filter((file) => file.endsWith('.sql'))
    .sort()
    .map((file) => {
      const sql = readFileSync(path.join(folder, file), 'utf8');
      return { name: file.slice(0, -'.sql'.length), sql, digest: createHash('sha256').update(sql).digest('hex') };
    });
}

async function inOneTransaction(client: pg.Client, guards: readonly Guard[]): Promise<string[]> {
  await client.query('BEGIN');
  try {
    // Two servers that start at once both get here; the second finds everything done.
    await client.query('SELECT pg_advisory_xact_lock(727503)');
    await client.query(RECORD);
    const due = await whatIsDue(client, guards);
    if (due.length > 0) {
      await client.query(CLEAR);
      for (const guard of guards) await applyOne(client, guard);
      await client.query(SWEEP);
      await writeDown(client, guards);
    }
    await client.query('COMMIT');
    return due;
  } catch (error) {
    await client.query('ROLLBACK');
    throw error;
  }
}

/** In the guards' own schema, which the app may not write to and Prisma does not know. */
const RECORD = `
  CREATE SCHEMA IF NOT EXISTS rickyard;
  CREATE TABLE IF NOT EXISTS rickyard.applied_guard (
    name text PRIMARY KEY,
    digest text NOT NULL,
    after_migration text NOT NULL,
    applied_at timestamptz NOT NULL DEFAULT now()
  )`;

const LAST_MIGRATION = `
  (SELECT COALESCE(max(migration_name), '') FROM _prisma_migrations WHERE finished_at IS NOT NULL)`;

async function whatIsDue(client: pg.Client, guards: readonly Guard[]): Promise<string[]> {
  const { rows } = await client.query<{ name: string; digest: string; current: boolean }>(
    `SELECT name, digest, after_migration = ${LAST_MIGRATION} AS current FROM rickyard.applied_guard`,
  );
  const applied = new Map(rows.map((row) => [row.name, row]));
  const changed = guards.filter(({ name, digest }) => {
    const before = applied.get(name);
    return before === undefined || before.digest !== digest || !before.current;
  });
  const names = new Set(guards.map((guard) => guard.name));
  return [...changed.map((guard) => guard.name), ...rows.map((row) => row.name).filter((name) => !names.has(name))];
}

/** Triggers, policies and rights are dropped and made again: nothing outlives the file that made it. */
const CLEAR = `
  DO $$
  DECLARE
    made record;
  BEGIN
    FOR made IN
      SELECT format('DROP TRIGGER %I ON %s', t.tgname, t.tgrelid::regclass) AS drop
        FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid
       WHERE NOT t.tgisinternal AND c.relnamespace = 'public'::regnamespace
      UNION ALL
      SELECT format('DROP POLICY %I ON %s', p.polname, p.polrelid::regclass)
        FROM pg_policy p JOIN pg_class c ON c.oid = p.polrelid WHERE c.relnamespace = 'public'::regnamespace
      UNION ALL
      SELECT format('REVOKE ALL ON ALL TABLES IN SCHEMA public FROM %I', r.rolname)
        FROM pg_roles r WHERE r.rolname IN ('rickyard_app', 'rickyard_eraser')
    LOOP
      EXECUTE made.drop;
    END LOOP;
  END $$`;

/**
 * Functions are replaced in place, so that a running server never finds one missing. One that no file just replaced (an
 * earlier transaction wrote its row in the catalogue) belongs to a rule that is gone.
 */
const SWEEP = `
  DO $$
  DECLARE
    stale record;
  BEGIN
    FOR stale IN
      SELECT p.oid::regprocedure AS signature FROM pg_proc p JOIN pg_namespace n ON n.oid = p.pronamespace
       WHERE n.nspname IN ('rickyard', 'rickyard_erasure')
         AND p.xmin::text::bigint <> pg_current_xact_id()::text::bigint % 4294967296
    LOOP
      EXECUTE format('DROP FUNCTION %s', stale.signature);
    END LOOP;
  END $$`;

async function applyOne(client: pg.Client, guard: Guard): Promise<void> {
  try {
    await client.query(guard.sql);
  } catch (error) {
    const { code, message } = error as pg.DatabaseError;
    if (code === DEADLOCK) throw error;
    throw new GuardProblem(`The guard ${guard.name} was not applied, and none was changed: ${message}`);
  }
}

async function writeDown(client: pg.Client, guards: readonly Guard[]): Promise<void> {
  await client.query('DELETE FROM rickyard.applied_guard');
  for (const { name, digest } of guards) {
    await client.query(
      `INSERT INTO rickyard.applied_guard (name, digest, after_migration) VALUES ($1, $2, ${LAST_MIGRATION})`,
      [name, digest],
    );
  }
}
