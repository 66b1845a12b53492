import { readdirSync } from 'node:fs';
import path from 'node:path';
import type pg from 'pg';
import { readGuards } from './guards.js';

/** Release and database do not belong together, and who serves may not change the database. */
class OtherRelease extends Error {
  override name = 'OtherRelease';
}

const NO_SUCH_TABLE = '42P01';
const NO_SUCH_SCHEMA = '3F000';
const NOT_ALLOWED = '42501';
const NO_SUCH_FUNCTION = '42883';

/**
 * For a server that has its own login and not the owner's: whether the database is at the last migration of this
 * release and follows its guards. @throws OtherRelease naming what differs, with what to do.
 */
export async function refuseOtherRelease(pool: pg.Pool, prisma: string): Promise<void> {
  const differs = await differences(pool, prisma);
  if (differs.length === 0) return;
  throw new OtherRelease(
    `The database is not what this release needs: ${differs.join('; ')}. Run \`npm run migrate\` of this release ` +
      "with the owner's login in DATABASE_URL, or start the release that the database belongs to.",
  );
}

async function differences(pool: pg.Pool, prisma: string): Promise<string[]> {
  const applied = await appliedGuards(pool);
  if (applied === undefined) return ['it has no schema that this login may use'];
  const guards = readGuards(path.join(prisma, 'guards'));
  const known = migrationsIn(path.join(prisma, 'migrations'));
  const last = known.at(-1) ?? '';
  const unknown = (await appliedMigrations(pool)).filter((name) => !known.includes(name));
  const digests = new Map(applied.map((row) => [row.name, row.digest]));
  const names = new Set(guards.map(({ name }) => name));
  const migrations = new Set(applied.map((row) => row.after_migration));
  const { rowCount: unsealed } = await pool.query(
    "SELECT 1 FROM pg_constraint WHERE conname = 'second_factor_sealed' AND NOT convalidated",
  );
  return [
    ...(unsealed === 0 ? [] : ['the one-time-code secrets of an earlier release are not sealed']),
    ...[...migrations].filter((name) => name !== last).map((name) => `its last migration is ${name}, not ${last}`),
    ...unknown.map((name) => `it has the migration ${name}, which is not of this release`),
    ...guards
      .filter(({ name, digest }) => digests.get(name) !== digest)
      .map(({ name }) => `the guard ${name} is ${digests.has(name) ? 'another' : 'missing'}`),
    ...applied.filter(({ name }) => !names.has(name)).map(({ name }) => `the guard ${name} is not of this release`),
  ];
}

interface AppliedGuard {
  name: string;
  digest: string;
  after_migration: string;
}

async function appliedGuards(pool: pg.Pool): Promise<AppliedGuard[] | undefined> {
  try {
    return (await pool.query<AppliedGuard>('SELECT name, digest, after_migration FROM rickyard.applied_guard')).rows;
  } catch (error) {
    if ([NO_SUCH_TABLE, NO_SUCH_SCHEMA, NOT_ALLOWED].includes(String((error as pg.DatabaseError).code)))
      return undefined;
    throw error;
  }
}

/** Where there is no such function yet, the guards say that they are of another release. */
async function appliedMigrations(pool: pg.Pool): Promise<string[]> {
  try {
    const { rows } = await pool.query<{ name: string }>('SELECT m AS name FROM rickyard.migrations() AS m ORDER BY 1');
    return rows.map(({ name }) => name);
  } catch (error) {
    if ((error as pg.DatabaseError).code === NO_SUCH_FUNCTION) return [];
    throw error;
  }
}

function migrationsIn(folder: string): string[] {
  return readdirSync(folder, { withFileTypes: true })
    .filter((entry) => entry.isDirectory())
    .map((entry) => entry.name)
    .sort();
}
