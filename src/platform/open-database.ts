import { existsSync, mkdirSync } from 'node:fs';
import path from 'node:path';
import { backedUpBefore } from './backup/before-migrating.js';
import type { Config } from './config.js';
import { ensureAppLogin, makeNamedLogin, refuseUnguardedRole } from './database/app-login.js';
import { Database } from './database/database.js';
import { onHostsOf, writableOf } from './database/database-hosts.js';
import { migrate } from './database/migrate.js';
import { createPool } from './database/pool.js';
import { Replica } from './database/replica.js';
import { refuseOtherRelease } from './database/same-release.js';
import { startEmbeddedServer } from './embedded/embedded-server.js';

export interface OpenDatabase {
  database: Database;
  /** Connection of the schema's owner; absent where this process was given the server's own login only. */
  ownerUrl: string | undefined;
  /** Connection of the server's own role. */
  appUrl: string;
  /** Whether this process started the database's, on this machine. */
  embedded: boolean;
  /** Folder of what is kept beside the database. */
  dataFolder: string;
  notes: string[];
  /** From now on restarts an embedded server that ends, and reports what happens to it or to the replica. */
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
 * applies to. With APP_DATABASE_URL alone, that login on a database that somebody else has migrated.
 */
export async function openDatabase(config: Config): Promise<OpenDatabase> {
  if (config.onServer) makeFolder(config.dataFolder);
  if (config.databaseUrl === undefined && config.appDatabaseUrl !== undefined)
    return openWithoutOwner(config, config.appDatabaseUrl);
  const embedded =
    config.databaseUrl === undefined
      ? await startEmbeddedServer({ dataFolder: config.dataFolder, logArchive: config.logArchive })
      : undefined;
  const named = config.databaseUrl ?? '';
  // What the owner does is done at the start, on the host that can be written to; requests follow it.
  const ownerUrl = embedded?.url ?? (await writableOf(named));
  const notes = [...(embedded?.notes ?? ['uses the database server named in DATABASE_URL'])];
  try {
    if (embedded !== undefined) notes.push(...(await backedUpBefore(embedded, prismaFolder())));
    const done = await migrate(ownerUrl, prismaFolder());
    notes.push(
      done.migrations.length === 0 ? 'the schema was current' : `applied ${done.migrations.length} migrations`,
    );
    if (done.guards.length > 0) notes.push(`applied the guards, ${done.guards.length} of them new or changed`);
    const made =
      config.appDatabaseUrl === undefined ? undefined : await makeNamedLogin(ownerUrl, config.appDatabaseUrl);
    const appUrl = await appUrlOf(config, ownerUrl);
    if (made !== undefined) notes.push(`made the login ${made}, named in APP_DATABASE_URL`);
    const pool = createPool(appUrl, config.poolSize);
    await refuseUnguardedRole(pool);
    const replica = replicaOf(config, appUrl);
    if (replica !== undefined) notes.push(await wordsOf(replica));
    const database = new Database(pool, replica);
    return {
      database,
      ownerUrl,
      appUrl,
      embedded: embedded !== undefined,
      notes,
      dataFolder: embedded?.dataFolder ?? config.dataFolder,
      watch: (tell) => {
        embedded?.watch(tell);
        replica?.watch(tell);
      },
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

/** The server's own login, on every host that was named; first on the one that can be written to. */
async function appUrlOf({ databaseUrl, appDatabaseUrl }: Config, ownerUrl: string): Promise<string> {
  if (appDatabaseUrl !== undefined) return onHostsOf(appDatabaseUrl, await writableOf(appDatabaseUrl));
  const login = await ensureAppLogin(ownerUrl);
  return databaseUrl === undefined ? login : onHostsOf(databaseUrl, login);
}

/** The owner's password is nowhere in this process: it cannot migrate, and refuses a database of another release. */
async function openWithoutOwner(config: Config, named: string): Promise<OpenDatabase> {
  const appUrl = onHostsOf(named, await writableOf(named));
  const pool = createPool(appUrl, config.poolSize);
  const replica = replicaOf(config, appUrl);
  const database = new Database(pool, replica);
  try {
    await refuseUnguardedRole(pool);
    await refuseOtherRelease(pool, prismaFolder());
  } catch (error) {
    await database.close();
    throw error;
  }
  return {
    database,
    ownerUrl: undefined,
    appUrl,
    embedded: false,
    notes: [
      "serves without the owner's login, on a schema that is this release's",
      ...(replica === undefined ? [] : [await wordsOf(replica)]),
    ],
    dataFolder: config.dataFolder,
    watch: (tell) => replica?.watch(tell),
    close: () => database.close(),
  };
}

/** What is kept beside a database of somebody's server: the key of secrets, heads of audits. @throws in words */
function makeFolder(folder: string): void {
  try {
    mkdirSync(folder, { recursive: true, mode: 0o755 });
  } catch (error) {
    throw new Error(
      `The data folder ${folder} cannot be made (${(error as NodeJS.ErrnoException).code}). Make it writable, or set ` +
        'RICKYARD_DATA to a folder that is.',
    );
  }
}

function replicaOf({ replicaUrl, poolSize }: Config, appUrl: string): Replica | undefined {
  return replicaUrl === undefined ? undefined : new Replica({ appUrl, replicaUrl, poolSize });
}

/** A replica that cannot be read from stops nobody from starting. */
async function wordsOf(replica: Replica): Promise<string> {
  const { is, why } = await replica.now();
  return is === 'away' || is === 'unfit'
    ? `the replica at ${replica.host} is not read from: ${why}; reads go to the primary`
    : `reads from the replica at ${replica.host}`;
}

/** @throws where only the server's own login was given. */
export function ownerOf({ ownerUrl }: OpenDatabase): string {
  if (ownerUrl !== undefined) return ownerUrl;
  throw new Error("This takes the owner of the schema: give the owner's login in DATABASE_URL.");
}
