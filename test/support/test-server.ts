import { randomBytes } from 'node:crypto';
import { connect } from 'node:net';
import path from 'node:path';
import pg from 'pg';
import { ensureAppLogin } from '../../src/platform/database/app-login.js';
import { migrate } from '../../src/platform/database/migrate.js';
import { writeDescription } from './description-of-run.js';
import { startServerOfRun } from './server-of-run.js';
import { inDatabase, type Started, TEST_SERVER } from './test-database.js';

const PROBE_WITHIN_MS = 2000;
const IMAGE = 'postgres:18-alpine';
/** Called by every project of the run that needs a database. */
let running: Promise<Started> | undefined;

/** Starts the server unless this run has it already, migrates the template, and tells the workers. */
export async function startTestServer(): Promise<void> {
  running ??= start();
  const { server } = await running;
  process.env[TEST_SERVER] = JSON.stringify(server);
}

export async function stopTestServer(): Promise<void> {
  const started = running;
  if (started === undefined) return;
  running = undefined;
  await (await started).stop();
}

async function start(): Promise<Started> {
  const describing = writeDescription();
  describing.catch(() => undefined);
  const { url, from, stop } = await openServer();
  const stopAll = async (): Promise<void> => {
    await describing.then(
      ({ end }) => end(),
      () => undefined,
    );
    await stop();
  };
  const started = await migratedServer(url, from, stopAll);
  await describing;
  return started;
}

/** A server with a migrated template for tests to copy. */
export async function migratedServer(
  url: string,
  from: Started['server']['from'],
  stop: () => Promise<void>,
): Promise<Started> {
  const template = `rickyard_test_${Date.now().toString(36)}_${randomBytes(3).toString('hex')}`;
  const maintenance = new pg.Client({ connectionString: url });
  await maintenance.connect();
  try {
    await maintenance.query(`CREATE DATABASE ${template}`);
    const ownerUrl = inDatabase(url, template);
    await migrate(ownerUrl, path.resolve(__dirname, '..', '..', 'prisma'));
    const appUrl = await ensureAppLogin(ownerUrl);
    return {
      server: { ownerUrl, appUrl, template, from },
      stop: async () => {
        if (from === 'TEST_DATABASE_URL') await clearAway(url, template, new URL(appUrl).username);
        await stop();
      },
    };
  } catch (error) {
    await stop();
    throw error;
  } finally {
    await maintenance.end();
  }
}

/** A server that is not ours is left as we found it. */
async function clearAway(url: string, template: string, login: string): Promise<void> {
  const client = new pg.Client({ connectionString: url });
  await client.connect();
  try {
    const { rows } = await client.query<{ datname: string }>('SELECT datname FROM pg_database WHERE datname LIKE $1', [
      `${template}%`,
    ]);
    for (const { datname } of rows)
      await client.query(`DROP DATABASE ${client.escapeIdentifier(datname)} WITH (FORCE)`);
    await client.query(`DROP ROLE IF EXISTS ${client.escapeIdentifier(login)}`);
  } finally {
    await client.end();
  }
}

type Opened = { url: string; from: Started['server']['from']; stop: () => Promise<void> };

async function openServer(): Promise<Opened> {
  const given = process.env['TEST_DATABASE_URL'];
  if (given !== undefined && given !== '')
    return { url: given, from: 'TEST_DATABASE_URL', stop: () => Promise.resolve() };
  return (await aDockerEngineAnswers()) ? startContainer() : startEmbedded();
}

async function aDockerEngineAnswers(): Promise<boolean> {
  const host = process.env['DOCKER_HOST'] ?? 'unix:///var/run/docker.sock';
  const { protocol, hostname, port, pathname } = new URL(host.replace(/^tcp:/, 'http:'));
  return new Promise((resolve) => {
    const socket = protocol === 'unix:' ? connect(pathname) : connect(Number(port === '' ? '2375' : port), hostname);
    const answer = (says: boolean) => () => {
      socket.destroy();
      resolve(says);
    };
    socket.setTimeout(PROBE_WITHIN_MS, answer(false));
    socket.once('error', answer(false));
    socket.once('connect', () => socket.write('GET /_ping HTTP/1.0\r\n\r\n'));
    socket.once('data', (chunk: Buffer) => answer(/^HTTP\/1\.\d 200/.test(chunk.toString('latin1')))());
  });
}

async function startContainer(): Promise<Opened> {
  const { GenericContainer, Wait } = await import('testcontainers');
  const password = randomBytes(18).toString('base64url');
  const container = await new GenericContainer(IMAGE)
    .withEnvironment({ POSTGRES_USER: 'rickyard_owner', POSTGRES_PASSWORD: password, POSTGRES_DB: 'rickyard' })
    .withCommand([
      'postgres',
      '-c',
      'fsync=off',
      '-c',
      'synchronous_commit=off',
      '-c',
      'full_page_writes=off',
      '-c',
      'max_connections=200',
    ])
    .withExposedPorts(5432)
    .withWaitStrategy(Wait.forLogMessage(/database system is ready to accept connections/, 2))
    .start();
  return {
    url: `postgresql://rickyard_owner:${password}@${container.getHost()}:${container.getMappedPort(5432)}/rickyard`,
    from: 'container',
    stop: async () => {
      await container.stop();
    },
  };
}

async function startEmbedded(): Promise<Opened> {
  const { url, stop } = await startServerOfRun();
  return { url, from: 'embedded', stop };
}
