/*
 * Reads from a streaming replica: a real one, made of and run by the embedded server's own programs. However far it is
 * behind, whatever happens to it, everybody reads what was written and nobody what was taken from them. Two servers
 * share the database: one that waits for the replica, and one that does not. Invented ranches.
 */
import path from 'node:path';
import { sql } from 'kysely';
import pg from 'pg';
import type { OperationTenant } from '../../src/platform/database/types.js';
import { Replica } from '../../src/platform/database/replica.js';
import { HeavyWork } from '../../src/platform/workers/heavy-work.js';
import { threadsOf } from '../../src/platform/workers/workers.js';
import { asker, clientOf, type Operation, operationWith } from '../support/people.js';
import { runProgram } from '../support/program.js';
import { startServerOfRun } from '../support/server-of-run.js';
import { StreamingReplica } from '../support/streaming-replica.js';
import type { Started } from '../support/test-database.js';
import { migratedServer } from '../support/test-server.js';
import { feeding, herd, lot, ranch, type WithId } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

const AN_HOUR = 3_600_000;
const METRICS_KEY = 'a-key-for-the-metrics-and-nothing-else';
/** Enough for a file of several pieces. */
const FEEDINGS = 3_000;

let primary: Awaited<ReturnType<typeof startServerOfRun>>;
let started: Started;
let replica: StreamingReplica;
/** Waits until the replica has caught up, however loaded the machine is. */
let world: World;
/** Another process on the same database; does not wait for the replica. */
let other: World;
let operation: Operation;
let ranchId: string;
let herdId: string;

beforeAll(async () => {
  primary = await startServerOfRun();
  await told(primary.url, 'ALTER ROLE ALL SET synchronous_commit = on');
  started = await migratedServer(primary.url, 'embedded', primary.stop);
  replica = await StreamingReplica.of(primary);
  const options = { server: started.server, metricsKey: METRICS_KEY };
  const patient = { lightMs: AN_HOUR, longMs: AN_HOUR, silentMs: AN_HOUR };
  // The database and the login are the server's own.
  const url = `postgresql://127.0.0.1:${replica.port}`;
  world = await openWorld({ ...options, replica: { url, patience: patient } });
  const hasty = { lightMs: 5, longMs: 5, silentMs: 500 };
  other = await openWorld({ ...options, beside: world, replica: { url, patience: hasty } });
  operation = await operationWith(world);
  ranchId = await ranch(operation);
  herdId = await herd(operation, ranchId);
});
afterAll(async () => {
  await other.close();
  await world.close();
  await replica.stop();
  await started.stop();
});
afterEach(() => replica.resume());

async function told(url: string, statement: string): Promise<void> {
  const client = new pg.Client({ connectionString: url });
  await client.connect();
  await client.query(statement);
  await client.end();
}

/** The same person at the other server. */
const there = (client: { token?: string | undefined }): World['anyone'] => other.anyone.as(client.token);

interface Reads {
  replica: number;
  primary: number;
}
async function readsOf(at: World, work: () => Promise<unknown>): Promise<Reads> {
  const now = (): Reads => {
    const { replica: fromReplica, ...fromPrimary } = (at.database.replica as Replica).counts.now();
    return { replica: fromReplica, primary: Object.values(fromPrimary).reduce((sum, one) => sum + one, 0) };
  };
  const before = now();
  await work();
  const after = now();
  return { replica: after.replica - before.replica, primary: after.primary - before.primary };
}

/** Whether the server that answers is one that replays another's log. */
async function isReplica({ db }: Pick<OperationTenant, 'db'>): Promise<boolean> {
  const { rows } = await sql<{ replica: boolean }>`SELECT pg_is_in_recovery() AS replica`.execute(db);
  return rows[0]?.replica === true;
}

function reading<T>(at: World, work: (tenant: OperationTenant) => Promise<T>): Promise<T> {
  return at.database.readIn(asker(at, operation.people.owner), operation.id, work);
}

/** Waits until the server that does not wait reads from the replica again. */
async function untilReadFrom(at: World): Promise<void> {
  while (!(await reading(at, isReplica))) await new Promise((resolve) => setTimeout(resolve, 20));
}

describe('a replica that follows', () => {
  it('answers what is only read, and no write', async () => {
    expect(await reading(world, isReplica)).toBe(true);
    const asked = async (): Promise<void> => {
      await operation.as.manager.get(operation.at('/herds'), { expect: 200 });
      await operation.as.manager.get('/v1/operations', { expect: 200 });
      await operation.as.manager.get(operation.at('/feedings'), { headers: { accept: 'text/csv' }, expect: 200 });
    };
    // A file is admitted by one read and taken by another.
    expect(await readsOf(world, asked)).toEqual({ replica: 4, primary: 0 });
    expect(await readsOf(world, () => ranch(operation, { name: 'Written' }))).toEqual({ replica: 0, primary: 0 });
  });

  it('has each write as soon as it is read, whoever wrote it where', async () => {
    const id = await herd(operation, ranchId, { name: 'Just entered' });
    const seen = await readsOf(world, () => operation.as.hand.get(operation.at(`/herds/${id}`), { expect: 200 }));
    expect(seen).toEqual({ replica: 1, primary: 0 });
  });

  it('is told of at /metrics, and at /health/ready', async () => {
    const { payload } = await world.application.inject({
      url: '/metrics',
      headers: { authorization: `Bearer ${METRICS_KEY}` },
    });
    const { replica: answered } = (world.database.replica as Replica).counts.now();
    expect(payload).toContain(`rickyard_reads_total{by="replica",because="current"} ${answered}\n`);
    expect(payload).toMatch(/^rickyard_replica_lag_bytes 0$/m);
    expect(payload).toMatch(/^rickyard_replica_lag_seconds 0$/m);
    expect((await world.anyone.get('/health/ready', { expect: 200 })).body).toEqual({
      status: 'ok',
      replica: 'current',
    });
  });

  it('answers the reports of a worker thread, which are counted too', async () => {
    const support = path.resolve(__dirname, '..', 'support', 'run-typescript.cjs');
    const { counts } = world.database.replica as Replica;
    const parts = {
      appUrl: world.appUrl,
      replica: { url: replica.urlOf(world.appUrl), counts: counts.memory },
      logLevel: 'silent',
      slowStatementMs: 60_000,
    };
    const workers = threadsOf(path.resolve(__dirname, '..', '..', 'src', 'worker.ts'), parts, ['--require', support]);
    const work = new HeavyWork(workers, AN_HOUR);
    const request = {
      endpoint: 'getTrialBalance',
      asker: asker(world, operation.people.owner),
      operationId: operation.id,
      input: {
        params: { operationId: operation.id },
        query: { until: '2027-01-14' },
        body: undefined,
        expectedVersion: 0,
      },
      form: 'json' as const,
      url: '/',
      takesFile: false,
    };
    try {
      const before = counts.now();
      await work.run({ personId: operation.people.owner.id }, { kind: 'request', request });
      const after = counts.now();
      expect(Object.values(after).reduce((sum, one) => sum + one)).toBe(
        Object.values(before).reduce((sum, one) => sum + one) + 1,
      );
    } finally {
      await workers.close();
    }
  });
});

describe('a replica that is behind', () => {
  beforeEach(() => replica.pause());

  it('hides nothing that was written, at this server or another', async () => {
    const id = await herd(operation, ranchId, { name: 'Written while it stands' });
    const { manager } = operation.as;
    // The other server, and the same person on another device.
    const device = there(await clientOf(world, operation.people.manager));
    for (const client of [there(manager), device]) {
      await client.get(operation.at(`/herds/${id}`), { expect: 200 });
      const { body } = await client.get<{ items: WithId[] }>(operation.at('/herds'), { expect: 200 });
      expect(body.items.map((one) => one.id)).toContain(id);
    }
    const { headers } = await there(manager).get(operation.at(`/herds/${id}`), { expect: 200 });
    const change = { ifMatch: headers['etag'] ?? '', expect: 200 };
    await there(manager).patch(operation.at(`/herds/${id}`), { name: 'Renamed' }, change);
    expect((await device.get(operation.at(`/herds/${id}`))).body).toMatchObject({ name: 'Renamed' });
  });

  it('is not waited for in vain: reads go to the primary, and come back when it has caught up', async () => {
    await herd(operation, ranchId, { name: 'Behind' });
    const read = () => there(operation.as.manager).get(operation.at('/herds'), { expect: 200 });
    expect(await readsOf(other, read)).toEqual({ replica: 0, primary: 1 });
    expect((await other.anyone.get('/health/ready', { expect: 200 })).body).toEqual({
      status: 'ok',
      replica: 'behind',
    });
    const { payload } = await other.application.inject({
      url: '/metrics',
      headers: { authorization: `Bearer ${METRICS_KEY}` },
    });
    expect(Number(/^rickyard_replica_lag_bytes (\d+)$/m.exec(payload)?.[1])).toBeGreaterThan(0);
    expect(Number(/^rickyard_replica_lag_seconds (\S+)$/m.exec(payload)?.[1])).toBeGreaterThan(0);
    await replica.resume();
    await untilReadFrom(other);
  });

  it('opens no session that was ended', async () => {
    const client = await clientOf(world, operation.people.manager);
    await there(client).get(operation.at('/herds'), { expect: 200 });
    await client.post('/v1/sign-out', {}, { key: null, expect: 204 });
    expect((await there(client).get(operation.at('/herds'))).status).toBe(401);
    expect((await there(client).get('/v1/me')).status).toBe(401);
  });

  it('opens nothing to a key that was revoked', async () => {
    const body = { name: 'Month end', scopes: ['read'], expiresAt: '2027-02-01T00:00:00Z' };
    const owner = there(operation.as.owner);
    const made = await owner.post<{ id: string; secret: string }>(operation.at('/api-keys'), body, { expect: 201 });
    const key = other.anyone.as(made.body.secret);
    await replica.resume();
    await untilReadFrom(other);
    await key.get(operation.at('/herds'), { expect: 200 });
    await replica.pause();
    const at = operation.at(`/api-keys/${made.body.id}`);
    const { headers } = await owner.get(at, { expect: 200 });
    await owner.delete(at, { ifMatch: headers['etag'] ?? '', expect: 204 });
    expect((await key.get(operation.at('/herds'))).status).toBe(401);
  });

  it('shows nothing to whose membership has ended, and no price to whom they were taken from', async () => {
    const { owner, accountant, manager } = operation.as;
    const placeOf = async (personId: string): Promise<{ at: string; ifMatch: string }> => {
      const { body } = await there(owner).get<{ items: { id: string; personId: string }[] }>(
        operation.at('/memberships'),
        { expect: 200 },
      );
      const at = operation.at(`/memberships/${body.items.find((one) => one.personId === personId)?.id ?? ''}`);
      return { at, ifMatch: (await there(owner).get(at, { expect: 200 })).headers['etag'] ?? '' };
    };
    const prices = operation.at('/hay-purchases');
    const { at, ifMatch } = await placeOf(operation.people.manager.id);
    await there(owner).patch(at, { seesPrices: false }, { ifMatch, expect: 200 });
    expect((await there(manager).get<{ memberships: object[] }>('/v1/me')).body.memberships).toEqual([
      expect.objectContaining({ seesPrices: false }),
    ]);
    const ended = await placeOf(operation.people.accountant.id);
    await there(accountant).get(prices, { expect: 200 });
    const reason = { reason: 'Winter is over' };
    await there(owner).post(`${ended.at}/end`, reason, { ifMatch: ended.ifMatch, key: null, expect: 200 });
    expect((await there(accountant).get(prices)).status).toBe(404);
  });
});

/** Reads in two halves, and lets something happen between them; where both halves were read. */
async function inTwoHalves(at: World, between: () => Promise<unknown>): Promise<boolean[]> {
  let first = true;
  return reading(at, async (tenant) => {
    const one = await isReplica(tenant);
    // What was seen holds a snapshot's lock until the transaction ends.
    await tenant.db.selectFrom('herd').select('id').execute();
    if (first) {
      first = false;
      await between();
    }
    await tenant.db.selectFrom('herd').select('id').execute();
    return [one, await isReplica(tenant)];
  });
}

describe('a replica that fails in the middle of a read', () => {
  it('because replay needs what the read holds: the primary answers it', async () => {
    await untilReadFrom(other);
    const asked = () =>
      inTwoHalves(other, async () => {
        await world.ownerPool.query('BEGIN; LOCK TABLE herd IN ACCESS EXCLUSIVE MODE; COMMIT');
        await replica.caughtUp();
      });
    expect(await asked()).toEqual([false, false]);
    // It is as well as before.
    await untilReadFrom(other);
  });

  const manyFeedings = async (): Promise<void> => {
    const { lotId } = await lot(operation, ranchId, { name: 'North stack' });
    await feeding(operation, herdId, [[lotId, '400']], { fedOn: '2027-01-12' });
    await world.ownerPool.query(
      `WITH more AS (INSERT INTO feeding SELECT (jsonb_populate_record(NULL::feeding, to_jsonb(f) ||
          jsonb_build_object('id', gen_random_uuid(), 'happened_on', f.happened_on - n / 10))).*
          FROM feeding f, generate_series(10, $1::int) n RETURNING operation_id, id)
       INSERT INTO feeding_layer SELECT (jsonb_populate_record(NULL::feeding_layer, to_jsonb(l) ||
          jsonb_build_object('feeding_id', more.id))).* FROM more, feeding_layer l`,
      [FEEDINGS],
    );
  };
  const feedingLines = (at: World, between: (piece: number) => Promise<unknown>): Promise<AsyncIterable<string>> =>
    at.database.pull(asker(at, operation.people.owner), operation.id, async function* lines({ db }) {
      for (let piece = 0; piece < 10; piece += 1) {
        const rows = await db
          .selectFrom('feeding')
          .select(['id', 'happened_on'])
          .orderBy('happened_on')
          .orderBy('id')
          .limit(FEEDINGS / 10)
          .offset((piece * FEEDINGS) / 10)
          .execute();
        yield rows.map((row) => `${row.id},${row.happened_on}\n`).join('');
        await between(piece);
      }
    });
  const whole = async (pieces: AsyncIterable<string>): Promise<string> => {
    let text = '';
    for await (const piece of pieces) text += piece;
    return text;
  };

  it('a file that the replica began is ended by the primary, as one whole', async () => {
    await manyFeedings();
    await untilReadFrom(other);
    const expected = await whole(await feedingLines(other, () => Promise.resolve()));
    expect(expected.split('\n').length).toBeGreaterThan(2_000);
    await untilReadFrom(other);
    const { failed } = (other.database.replica as Replica).counts.now();
    let locked = false;
    const pieces = await feedingLines(other, async (piece) => {
      if (piece !== 3 || locked) return;
      locked = true;
      await world.ownerPool.query('BEGIN; LOCK TABLE feeding IN ACCESS EXCLUSIVE MODE; COMMIT');
      await replica.caughtUp();
    });
    expect(await whole(pieces)).toBe(expected);
    expect((other.database.replica as Replica).counts.now().failed).toBe(failed + 1);
  });

  it('a file whose beginning has changed meanwhile ends as an error, never as half of each', async () => {
    await untilReadFrom(other);
    let changed = false;
    const pieces = await feedingLines(other, async (piece) => {
      if (piece !== 3 || changed) return;
      changed = true;
      await world.ownerPool.query(`INSERT INTO feeding SELECT (jsonb_populate_record(NULL::feeding, to_jsonb(f) ||
        jsonb_build_object('id', gen_random_uuid(), 'happened_on', '2020-01-01'))).* FROM feeding f LIMIT 1`);
      await world.ownerPool.query('BEGIN; LOCK TABLE feeding IN ACCESS EXCLUSIVE MODE; COMMIT');
      await replica.caughtUp();
    });
    await expect(whole(pieces)).rejects.toMatchObject({ code: 'not-ready' });
    expect(changed).toBe(true);
  });

  it('because it says nothing any more: the primary answers it, and what comes after', async () => {
    await untilReadFrom(other);
    try {
      expect(await inTwoHalves(other, () => Promise.resolve(replica.freeze()))).toEqual([false, false]);
      await there(operation.as.owner).get(operation.at('/herds'), { expect: 200 });
      expect((await other.anyone.get('/health/ready', { expect: 200 })).body).toEqual({
        status: 'ok',
        replica: 'away',
      });
    } finally {
      replica.thaw();
    }
    await untilReadFrom(other);
  });

  it('because it is killed: the primary answers it, and the replica is found again', async () => {
    await untilReadFrom(other);
    expect(await inTwoHalves(other, () => replica.kill())).toEqual([false, false]);
    await there(operation.as.owner).get(operation.at('/herds'), { expect: 200 });
    await replica.start();
    await untilReadFrom(other);
    // Those who wait for it find it too.
    await operation.as.owner.get(operation.at('/herds'), { expect: 200 });
  });
});

describe('a server that is told of a replica', () => {
  const env = (url: string): Record<string, string> => ({
    DATABASE_URL: world.ownerUrl,
    DATABASE_REPLICA_URL: url,
    RICKYARD_DATA: primary.folder,
    RICKYARD_METRICS_KEY: METRICS_KEY,
  });
  const startedWith = async (url: string): Promise<{ said: string; ready: unknown }> => {
    let ready: unknown;
    const { said } = await runProgram(env(url), /serves at (\S+)/, async (so, stop) => {
      const address = /serves at (\S+)/.exec(so)?.[1] ?? '';
      ready = await (await fetch(`${address}/health/ready`)).json();
      stop();
    });
    return { said, ready };
  };

  it('uses its own login there if none is given, and says so', async () => {
    const url = `postgresql://127.0.0.1:${replica.port}`;
    const { said, ready } = await startedWith(url);
    expect(said).toContain(`reads from the replica at 127.0.0.1:${replica.port}`);
    expect(ready).toMatchObject({ status: 'ok', replica: expect.stringMatching(/^(current|behind)$/) as string });
  });

  it.each([
    ['that is not there', () => 'postgresql://127.0.0.1:1', /is not read from: .*ECONNREFUSED/, 'away'],
    ['that is the primary', () => `postgresql://${new URL(world.ownerUrl).host}`, /it is no replica/, 'unfit'],
    ['by a login that policies do not hold', () => replica.urlOf(world.ownerUrl), /is a superuser/, 'unfit'],
  ])('starts with one %s, says why, and asks the primary', async (_what, url, words, is) => {
    const { said, ready } = await startedWith(url());
    expect(said).toMatch(words);
    expect(ready).toEqual({ status: 'ok', replica: is });
  });

  it('refuses one without a server that it would be the replica of', async () => {
    const { said, code } = await runProgram({ DATABASE_REPLICA_URL: 'postgresql://127.0.0.1:1' });
    expect({ said, code }).toEqual({
      said:
        'The environment cannot be used:\n  DATABASE_REPLICA_URL: names a replica of the server in DATABASE_URL or ' +
        'APP_DATABASE_URL, and neither is given\n',
      code: 1,
    });
  });
});

describe('a replica that becomes a server of its own', () => {
  it('is not read from any more', async () => {
    await untilReadFrom(other);
    await replica.promote();
    while (await reading(other, isReplica)) await new Promise((resolve) => setTimeout(resolve, 20));
    const now = await (other.database.replica as Replica).now();
    expect(now).toMatchObject({ is: 'unfit', why: 'it is no replica' });
    expect(await readsOf(other, () => reading(other, isReplica))).toEqual({ replica: 0, primary: 1 });
  });
});
