import { randomBytes } from 'node:crypto';
import type { NestFastifyApplication } from '@nestjs/platform-fastify';
import pg from 'pg';
import type { Logger } from 'pino';
import { createApplication } from '../../src/application.js';
import type { RequestLimits } from '../../src/access/fair-use/request-limits.js';
import type { Clock } from '../../src/platform/clock.js';
import { Database } from '../../src/platform/database/database.js';
import { createPool, type PoolLimits } from '../../src/platform/database/pool.js';
import { Replica, type ReplicaPatience } from '../../src/platform/database/replica.js';
import { createLogger } from '../../src/platform/logs.js';
import type { Workers } from '../../src/platform/workers/workers.js';
import work from '../../src/worker.js';
import type { Outgoing } from '../../src/platform/outgoing/outgoing.js';
import type { Outside } from '../../src/platform/outside.js';
import { SecretBox } from '../../src/platform/secrets/secret-box.js';
import { ApiClient } from './client.js';
import { type Description, readDescription } from './conformance.js';
import { descriptionFile } from './description-of-run.js';
import { inDatabase, type TestServer, testServer } from './test-database.js';

/** A winter morning, 08:00 in the mountains; tests move it where they need to. */
export const MORNING = '2027-01-15T15:00:00.000Z';

export class SettableClock implements Clock {
  #now: Date;

  constructor(now: string) {
    this.#now = new Date(now);
  }

  now(): Date {
    return new Date(this.#now);
  }

  set(now: string): void {
    this.#now = new Date(now);
  }

  advance(step: { minutes?: number; hours?: number; days?: number }): void {
    const minutes = (step.minutes ?? 0) + 60 * (step.hours ?? 0) + 1440 * (step.days ?? 0);
    this.#now = new Date(this.#now.getTime() + minutes * 60_000);
  }
}

const AN_HOUR = 3_600_000;
const PATIENT: PoolLimits = {
  connectionMs: AN_HOUR,
  lockMs: AN_HOUR,
  statementMs: AN_HOUR,
  idleInTransactionMs: AN_HOUR,
};

/** No threads: each would load the sources anew. */
export const inThisThread: Workers = {
  threads: { reports: 20, files: 20 },
  memoryMb: 512,
  answersRequests: false,
  do: async (job) => structuredClone(await work(structuredClone(job))),
  close: () => Promise.resolve(),
};

/** The key of a server under test. */
export const SECRETS = new SecretBox(randomBytes(32));

/** A database of its own, and the connections to it. */
export interface Yard {
  /** The server's `Database`, as the app's own role. */
  database: Database;
  /** A pool of the app's own role, for tests that send SQL to the guards. */
  appPool: pg.Pool;
  /** A pool of the schema's owner, for setting up what has no API and for reading the catalogue. */
  ownerPool: pg.Pool;
  appUrl: string;
  ownerUrl: string;
  clock: SettableClock;
  close(): Promise<void>;
}

export interface World extends Yard {
  application: NestFastifyApplication;
  address: string;
  description: Description;
  /** Calls as nobody. */
  anyone: ApiClient;
}

export interface WorldOptions {
  now?: string;
  logger?: Logger;
  poolSize?: number;
  /** Time limits, so long that a loaded machine does not reach them. */
  limits?: Partial<PoolLimits>;
  secrets?: SecretBox;
  trustedProxies?: readonly string[];
  /** How often one caller may ask; by default no test reaches it. */
  requestLimits?: RequestLimits;
  /** Who does the heavy work. By default it crosses as it would to a thread, and is done at once. */
  workers?: Workers | ((yard: Yard) => Workers);
  /** How the server is reached; by default at no address that it could name. */
  outside?: Outside;
  /** How messages of webhooks go out; by default to public hosts alone. */
  outgoing?: Outgoing;
  metricsKey?: string;
  slowStatementMs?: number;
  /** A server of one's own instead of the run's. */
  server?: TestServer;
  /** Another server process on that one's database. */
  beside?: Pick<Yard, 'appUrl' | 'ownerUrl'>;
  /** A replica that may answer reads. */
  replica?: { url: string; patience?: Partial<ReplicaPatience> };
}

/** A fresh, empty copy of the migrated template that nobody else uses. */
export async function openYard(options: WorldOptions = {}): Promise<Yard> {
  const { now = MORNING, poolSize = 20, limits = {}, replica, beside } = options;
  const { ownerUrl, appUrl, drop } =
    beside === undefined ? await copiedTemplate(options.server) : { ...beside, drop: () => Promise.resolve() };
  const ownerPool = createPool(ownerUrl, 4, PATIENT);
  const appPool = createPool(appUrl, poolSize, PATIENT);
  const patient = { ...PATIENT, ...limits };
  const database = new Database(
    createPool(appUrl, poolSize, patient),
    replica === undefined
      ? undefined
      : new Replica({ appUrl, replicaUrl: replica.url, poolSize, limits: patient, patience: replica.patience ?? {} }),
  );
  return {
    database,
    appPool,
    ownerPool,
    appUrl,
    ownerUrl,
    clock: new SettableClock(now),
    close: async () => {
      await Promise.all([database.close(), appPool.end(), ownerPool.end()]);
      await drop();
    },
  };
}

interface CopiedTemplate {
  ownerUrl: string;
  appUrl: string;
  drop: () => Promise<void>;
}

async function copiedTemplate(server = testServer()): Promise<CopiedTemplate> {
  const { template, ownerUrl: templateUrl, appUrl: templateAppUrl } = server;
  const name = `${template}_${randomBytes(5).toString('hex')}`;
  await createFromTemplate(templateUrl, name, template);
  return {
    ownerUrl: inDatabase(templateUrl, name),
    appUrl: inDatabase(templateAppUrl, name),
    drop: () => dropDatabase(templateUrl, name),
  };
}

/** The whole server on a database of its own. */
export async function openWorld(options: WorldOptions = {}): Promise<World> {
  const yard = await openYard(options);
  const application = await createApplication({
    database: yard.database,
    clock: yard.clock,
    secrets: options.secrets ?? SECRETS,
    workers: typeof options.workers === 'function' ? options.workers(yard) : (options.workers ?? inThisThread),
    outside: options.outside,
    outgoing: options.outgoing,
    logger: options.logger ?? createLogger('silent'),
    descriptionFile: descriptionFile(),
    requestLimits: options.requestLimits ?? {
      perAddress: 1e9,
      perKey: 1e9,
      perPerson: 1e9,
      perOperation: 1e9,
      seconds: 60,
    },
    ...(options.trustedProxies === undefined ? {} : { trustedProxies: options.trustedProxies }),
    ...(options.metricsKey === undefined ? {} : { metricsKey: options.metricsKey }),
    ...(options.slowStatementMs === undefined ? {} : { slowStatementMs: options.slowStatementMs }),
  });
  await application.listen({ port: 0, host: '127.0.0.1' });
  const address = await application.getUrl();
  const description = await readDescription(address);
  return {
    ...yard,
    application,
    address,
    description,
    anyone: new ApiClient(address, description),
    close: async () => {
      await application.close();
      await yard.close();
    },
  };
}

/** PostgreSQL copies a template only while nobody else is copying it; workers take turns. */
async function createFromTemplate(url: string, name: string, template: string): Promise<void> {
  const client = new pg.Client({ connectionString: inDatabase(url, 'postgres') });
  await client.connect();
  try {
    await client.query('SELECT pg_advisory_lock(727590)');
    await client.query(`CREATE DATABASE ${name} TEMPLATE ${template}`);
  } finally {
    await client.end();
  }
}

async function dropDatabase(url: string, name: string): Promise<void> {
  const client = new pg.Client({ connectionString: inDatabase(url, 'postgres') });
  await client.connect();
  try {
    await client.query(`DROP DATABASE ${name} WITH (FORCE)`);
  } finally {
    await client.end();
  }
}
