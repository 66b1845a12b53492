import { existsSync } from 'node:fs';
import path from 'node:path';
import pg from 'pg';
import type { Config } from './config.js';
import { ensureAppLogin, refuseUnguardedRole } from './database/app-login.js';
import { Database } from './database/database.js';
import { migrate } from './database/migrate.js';
import { createPool } from './database/pool.js';
import { startEmbeddedServer } from './embedded/embedded-server.js';

export interface OpenDatabase {
  database: Database;
  ownerUrl: string;
  /** Connection of the server's own role. */
  appUrl: string;
  /** Folder of what is kept beside the database. */
  dataFolder: string;
  notes: string[];
  /** From now on restarts an embedded server that ends, and reports what happens to it. */
  watch(tell: (words: string) => void): void;
  close(): Promise<void>;
}

/** Root of the checkout, whether this runs from src/ or from dist/. */
export function findCheckout(from: string): string {
  for (let at = from; at !== path.dirname(at); at = path.dirname(at)) {
    if (existsSync(path.join(at, 'prisma', 'schema.prisma'))) return at;
  }
  throw new Error('The folder prisma/ was not found above the program.');
}

function prismaFolder(): string {
  return path.join(findCheckout(__dirname), 'prisma');
}

/**
 * The server named in DATABASE_URL, or the embedded one; migrated, and used through a role that row-level security
 * applies to.
 */
export async function openDatabase(config: Config): Promise<OpenDatabase> {
  const embedded =
    config.databaseUrl === undefined ? await startEmbeddedServer({ dataFolder: config.dataFolder }) : undefined;
  const ownerUrl = embedded?.url ?? config.databaseUrl ?? '';
  const notes = [...(embedded?.notes ?? ['uses the database server named in DATABASE_URL'])];
  try {
    if (embedded === undefined) await refuseUnreachable(ownerUrl);
    const done = await migrate(ownerUrl, prismaFolder());
    notes.push(
      done.migrations.length === 0 ? 'the schema was current' : `applied ${done.migrations.length} migrations`,
    );
    if (done.guards.length > 0) notes.push(`applied the guards, ${done.guards.length} of them new or changed`);
    const appUrl = config.appDatabaseUrl ?? (await ensureAppLogin(ownerUrl));
    const pool = createPool(appUrl, config.poolSize);
    await refuseUnguardedRole(pool);
    const database = new Database(pool);
    return {
      database,
      ownerUrl,
      appUrl,
      notes,
      dataFolder: embedded?.dataFolder ?? config.dataFolder,
      watch: (tell) => embedded?.watch(tell),
      close: async () => {
        await database.close();
        await embedded?.stop();
      },
    };
  } catch (error) {
    await embedded?.stop();
    throw error;
  }
}

async function refuseUnreachable(url: string): Promise<void> {
  const client = new pg.Client({ connectionString: url, connectionTimeoutMillis: 10_000 });
  const { host } = new URL(url);
  try {
    await client.connect();
  } catch (error) {
    throw new Error(
      `The database server at ${host} cannot be used: ` +
        `${(error as Error).message || (error as NodeJS.ErrnoException).code}`,
    );
  } finally {
    await client.end().catch(() => undefined);
  }
}
