import { chmodSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { startEmbeddedServer, urlOfRunning } from '../../../src/platform/embedded/embedded-server.js';
import { watchOver } from '../../support/server-of-run.js';
import type { Seeded } from './seeded.js';
import { postmasterOf, send, childrenOf, ServerProcess } from './server-process.js';
import { openYardOfFaults, type YardOfFaults } from './yard-of-faults.js';

/** What every kind of fault is given. */
export interface Trial {
  readonly random: Seeded;
  /** How many faults are wanted. */
  readonly count: number;
  /** How many phones enter at a time. */
  readonly phones: number;
  /** Whether `dist` is tried, or the sources. */
  readonly built: boolean;
  readonly tell: (words: string) => void;
}

/** A line of the table. */
export interface Outcome {
  readonly faults: number;
  readonly acknowledged: number;
  readonly lost: readonly string[];
  readonly doubled: readonly string[];
  readonly half: readonly string[];
  /** Answers that no fault excuses: a 500, a refusal of what is right; and processes that ended by themselves. */
  readonly wrong: readonly string[];
  readonly absenceMs: number;
}

/** Why a kind of fault cannot be made here. */
export interface Skipped {
  readonly skipped: string;
}

export interface FaultKind {
  readonly name: string;
  /** How many faults of it a whole run makes. */
  readonly usually: number;
  run(trial: Trial): Promise<Outcome | Skipped>;
}

/** A program with a PostgreSQL of its own, as `npm start` is. */
export interface EmbeddedWorld {
  readonly server: ServerProcess;
  readonly folder: string;
  readonly yard: YardOfFaults;
  ownerUrl(): string;
  close(): Promise<void>;
}

export function newFolder(): string {
  const folder = mkdtempSync(path.join(tmpdir(), 'rickyard-faults-'));
  // As root, PostgreSQL runs as another account, which must be able to enter this folder.
  chmodSync(folder, 0o755);
  return folder;
}

export async function embeddedWorld(
  { built }: Pick<Trial, 'built'>,
  { folder: given, env = {} }: { folder?: string; env?: Readonly<Record<string, string>> } = {},
): Promise<EmbeddedWorld> {
  const folder = given ?? newFolder();
  const books = path.join(folder, 'books');
  const dismiss = watchOver(books);
  // What it says is kept where no fault strikes.
  const words = newFolder();
  const server = await ServerProcess.start({
    built,
    log: path.join(words, 'server.log'),
    env: { RICKYARD_DATA: books, ...env },
  });
  const ownerUrl = (): string => urlOfRunning(books) ?? '';
  return {
    server,
    folder: books,
    yard: await openYardOfFaults(server.url, ownerUrl()),
    ownerUrl,
    close: async () => {
      await server.stop();
      const left = postmasterOf(books);
      for (const pid of [left, ...childrenOf(left)]) if (left > 1) send('SIGKILL', pid);
      // A folder that was given stays: it may be a disk.
      for (const one of [words, given === undefined ? folder : books])
        rmSync(one, { recursive: true, force: true, maxRetries: 5 });
      dismiss();
    },
  };
}

/** A database server of its own, and as many programs on it as are started. */
export interface ServerWorld {
  readonly folder: string;
  readonly ownerUrl: string;
  start(url?: string, env?: Readonly<Record<string, string>>): Promise<ServerProcess>;
  close(): Promise<void>;
}

const ONE_KEY_FOR_ALL = Buffer.alloc(32, 7).toString('base64');

export async function serverWorld({ built }: Pick<Trial, 'built'>): Promise<ServerWorld> {
  const folder = newFolder();
  const dismiss = watchOver(path.join(folder, 'database'));
  const database = await startEmbeddedServer({ dataFolder: path.join(folder, 'database') });
  const servers: ServerProcess[] = [];
  return {
    folder,
    ownerUrl: database.url,
    start: async (url = database.url, env = {}) => {
      const name = `server-${servers.length}`;
      const server = await ServerProcess.start({
        built,
        log: path.join(folder, `${name}.log`),
        env: {
          DATABASE_URL: url,
          RICKYARD_DATA: path.join(folder, name),
          RICKYARD_SECRET_KEY: ONE_KEY_FOR_ALL,
          ...env,
        },
      });
      servers.push(server);
      return server;
    },
    close: async () => {
      await Promise.all(servers.map((server) => server.stop()));
      await database.stop();
      rmSync(folder, { recursive: true, force: true, maxRetries: 5 });
      dismiss();
    },
  };
}
