import { readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { bindMigrationAwareSqlAdapterFactory } from '@prisma/driver-adapter-utils';
import pg from 'pg';
import { MAY_ACT_AS_OWN_ROLES } from '../owner-session.js';
import { reconcileHistory } from './migration-history.js';
import { withoutLingeringTimers } from './lingering-timers.js';
import { loadSchemaEngine, type SchemaEngine } from './load-engine.js';
import { WholeScriptAdapterFactory } from './whole-script-adapter.js';

/**
 * Prisma's own schema engine, the WebAssembly build, through the pg adapter: it plans and applies migrations, keeps
 * Prisma's `_prisma_migrations` table and checksums, and needs no binary to be downloaded. Its README says what this
 * folder works around, and until when.
 */
async function withEngine<T>(
  url: string,
  work: (engine: SchemaEngine) => Promise<T>,
  before: (pool: pg.Pool) => Promise<void> = () => Promise.resolve(),
): Promise<T> {
  const { SchemaEngine } = await loadSchemaEngine();
  const pool = new pg.Pool({
    connectionString: url,
    max: 1,
    idleTimeoutMillis: 0,
    application_name: 'rickyard-migrations',
  });
  try {
    // The migrations table carries checksums; two servers that start at once must not interleave.
    await pool.query('SELECT pg_advisory_lock(727501)');
    await pool.query(MAY_ACT_AS_OWN_ROLES);
    await before(pool);
    const engine = await SchemaEngine.new(
      {},
      () => undefined,
      bindMigrationAwareSqlAdapterFactory(new WholeScriptAdapterFactory(pool)),
    );
    try {
      return await withoutLingeringTimers(() => work(engine));
    } finally {
      engine.free();
    }
  } finally {
    await pool.end();
  }
}

const filters = { externalTables: [], externalEnums: [] };

function migrationList(folder: string): object {
  return {
    baseDir: folder,
    lockfile: {
      path: './migration_lock.toml',
      content: readFileSync(path.join(folder, 'migration_lock.toml'), 'utf8'),
    },
    shadowDbInitScript: '',
    migrationDirectories: readdirSync(folder, { withFileTypes: true })
      .filter((entry) => entry.isDirectory())
      .map((entry) => entry.name)
      .sort()
      .map((name) => ({
        path: name,
        migrationFile: {
          path: 'migration.sql',
          content: { tag: 'ok', value: readFileSync(path.join(folder, name, 'migration.sql'), 'utf8') },
        },
      })),
  };
}

/**
 * Applies what is missing, each script in one transaction with its line in the table of migrations, so that an
 * interrupted start is simply begun again. Returns the names applied (none if the database was current). @throws
 * MigrationProblem where a later release has migrated the database, or a script was changed since.
 */
export async function applyMigrations(url: string, migrationsFolder: string): Promise<string[]> {
  return withEngine(
    url,
    async (engine) => {
      const { appliedMigrationNames } = await engine.applyMigrations({
        migrationsList: migrationList(migrationsFolder),
        filters,
      });
      return appliedMigrationNames;
    },
    (pool) => reconcileHistory(pool, migrationsFolder),
  );
}

/** The SQL that would bring the database at `url` (or an empty one) to the schema file. */
export async function schemaDifference(url: string, schemaFile: string, from: 'database' | 'empty'): Promise<string> {
  const files = [{ path: schemaFile, content: readFileSync(schemaFile, 'utf8') }];
  return withEngine(url, async (engine) => {
    const { stdout } = await engine.diff({
      from:
        from === 'empty' ? { tag: 'empty' } : { tag: 'schemaDatasource', files, configDir: path.dirname(schemaFile) },
      to: { tag: 'schemaDatamodel', files },
      script: true,
      exitCode: null,
      filters,
      shadowDatabaseUrl: null,
    });
    return stdout ?? '';
  });
}
