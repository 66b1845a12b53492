/*
 * What answers where the replica should be is one of another server: noticed, told, and not read from, whether it was
 * so from the start or became so unseen. Real servers of the embedded programs. Invented ranches.
 */
import { createServer, type Server, Socket } from 'node:net';
import type { AddressInfo } from 'node:net';
import { sql } from 'kysely';
import pg from 'pg';
import { Replica } from '../../src/platform/database/replica.js';
import { asker, type Operation, operationWith } from '../support/people.js';
import { startServerOfRun } from '../support/server-of-run.js';
import { StreamingReplica } from '../support/streaming-replica.js';
import type { Started } from '../support/test-database.js';
import { migratedServer } from '../support/test-server.js';
import { openWorld, type World } from '../support/world.js';

const AN_HOUR = 3_600_000;
const PATIENT = { lightMs: AN_HOUR, longMs: AN_HOUR, silentMs: AN_HOUR };
const OF_ANOTHER = 'it is a replica of another server';

type Running = Awaited<ReturnType<typeof startServerOfRun>>;
let [primary, stranger]: [Running, Running] = [undefined, undefined] as never;
let started: Started;
let [own, strangers]: [StreamingReplica, StreamingReplica] = [undefined, undefined] as never;
let address: Address;
let world: World;
let operation: Operation;

/** One address at which now this, now that server answers. */
class Address {
  readonly #open = new Set<Socket>();
  port = 0;
  leadsTo = 0;

  private constructor(private readonly server: Server) {}

  static async leadingTo(port: number): Promise<Address> {
    const made = new Address(createServer((from) => made.#pass(from)));
    made.leadsTo = port;
    await new Promise<void>((resolve) => made.server.listen(0, '127.0.0.1', resolve));
    made.port = (made.server.address() as AddressInfo).port;
    return made;
  }

  #pass(from: Socket): void {
    const to = new Socket().connect(this.leadsTo, '127.0.0.1');
    for (const [one, other] of [
      [from, to],
      [to, from],
    ] as const) {
      this.#open.add(one);
      one
        .on('error', () => undefined)
        .on('close', () => {
          this.#open.delete(one);
          other.destroy();
        });
      one.pipe(other);
    }
  }

  /** Connections end as with a server that is shut down, and the next ones find another. */
  async lead(port: number): Promise<void> {
    this.leadsTo = port;
    for (const socket of this.#open) socket.destroy();
    while (this.#open.size > 0) await new Promise((resolve) => setTimeout(resolve, 10));
  }

  async close(): Promise<void> {
    await this.lead(0);
    await new Promise((resolve) => this.server.close(resolve));
  }
}

async function asking(url: string, ...statements: string[]): Promise<pg.QueryResult> {
  const client = new pg.Client({ connectionString: url });
  await client.connect();
  try {
    let last: pg.QueryResult | undefined;
    for (const statement of statements) last = await client.query(statement);
    return last!;
  } finally {
    await client.end();
  }
}

async function placeOf(url: string): Promise<bigint> {
  const { rows } = await asking(url, "SELECT pg_wal_lsn_diff(pg_current_wal_flush_lsn(), '0/0')::text AS at");
  return BigInt((rows as { at: string }[])[0]?.at ?? '0');
}

beforeAll(async () => {
  primary = await startServerOfRun();
  await asking(primary.url, 'ALTER ROLE ALL SET synchronous_commit = on');
  started = await migratedServer(primary.url, 'embedded', primary.stop);
  own = await StreamingReplica.of(primary);
  address = await Address.leadingTo(own.port);
  const url = `postgresql://127.0.0.1:${address.port}`;
  world = await openWorld({ server: started.server, replica: { url, patience: PATIENT } });
  operation = await operationWith(world, { roles: ['owner'] });

  // The other server lets the same login in, to a database of the same name, and is further on in its own log.
  stranger = await startServerOfRun();
  const { username, password, pathname } = new URL(world.appUrl);
  await asking(
    stranger.url,
    `CREATE ROLE ${username} LOGIN NOSUPERUSER NOBYPASSRLS PASSWORD '${password}'`,
    `CREATE DATABASE ${pathname.slice(1)}`,
    'CREATE TABLE filler (n int)',
  );
  while ((await placeOf(stranger.url)) < (await placeOf(primary.url)) + 64n * 1024n * 1024n)
    await asking(stranger.url, 'INSERT INTO filler VALUES (1)', 'SELECT pg_switch_wal()');
  strangers = await StreamingReplica.of(stranger);
  await strangers.caughtUp();
});
afterAll(async () => {
  await world.close();
  await address.close();
  await own.stop();
  await strangers.stop();
  await started.stop();
  await stranger.stop();
});

/** Whether a replica answers a read; throws where the server that answers does not know the operation. */
const byReplica = (): Promise<boolean> =>
  world.database.readIn(asker(world, operation.people.owner), operation.id, async ({ db }) => {
    const { rows } = await sql<{ replica: boolean }>`SELECT pg_is_in_recovery() AS replica`.execute(db);
    return rows[0]?.replica === true;
  });

it('one of another server from the start answers nothing, and that is said', async () => {
  const said: string[] = [];
  const another = new Replica({
    appUrl: world.appUrl,
    replicaUrl: `postgresql://127.0.0.1:${strangers.port}`,
    poolSize: 2,
    patience: PATIENT,
  });
  another.watch((words) => said.push(words));
  try {
    expect(await another.whyNot()).toBe('unfit');
    expect((await another.now()).why).toBe(OF_ANOTHER);
    expect(said).toEqual([
      `The replica at 127.0.0.1:${strangers.port} is not read from: ${OF_ANOTHER}. Reads go to the primary.`,
    ]);
  } finally {
    await another.close();
  }
});

it('one that takes the place of the right one while nobody looks answers nothing either', async () => {
  const replica = world.database.replica as Replica;
  const said: string[] = [];
  replica.watch((words) => said.push(words));
  expect(await byReplica()).toBe(true);
  await address.lead(strangers.port);
  for (let again = 0; again < 3; again += 1) {
    // Longer than what was found counts for.
    await new Promise((resolve) => setTimeout(resolve, 1200));
    expect(await byReplica()).toBe(false);
  }
  expect((await replica.now()).is).toBe('unfit');
  expect(said.at(-1)).toContain(OF_ANOTHER);
  await operation.as.owner.get(operation.at('/herds'), { expect: 200 });
  // And the right one is read from again when it is back.
  await address.lead(own.port);
  while (!(await byReplica())) await new Promise((resolve) => setTimeout(resolve, 50));
  expect(said.at(-1)).toContain('answers reads');
});
