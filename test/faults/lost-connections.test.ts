/*
 * A database that ends a connection, is away or makes one wait is an ordinary thing: a request is told so and when to
 * try again, the server goes on, and what one ranch waits for does not keep another one waiting. Invented ranches.
 */
import type pg from 'pg';
import { createPool } from '../../src/platform/database/pool.js';
import { CutProxy } from './harness/cut-proxy.js';
import { type Operation, operationWith } from '../support/people.js';
import { herd, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

const POOL = 6;

describe('a lost connection', () => {
  let world: World;
  let ours: Operation;
  let theirs: Operation;
  beforeAll(async () => {
    world = await openWorld({ poolSize: POOL, limits: { connectionMs: 10_000, lockMs: 5000 } });
    ours = await operationWith(world, { name: 'Frozen Gate ranch' });
    theirs = await operationWith(world, { name: 'Open Range ranch' });
  });
  afterAll(async () => {
    await world.close();
  });

  const waiting = async (count: number): Promise<number[]> => {
    for (;;) {
      const { rows } = await world.ownerPool.query<{ pid: number }>(
        `SELECT pid FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock'`,
      );
      if (rows.length >= count) return rows.map((row) => row.pid);
      await new Promise((resolve) => setTimeout(resolve, 20));
    }
  };

  /** Holds every herd of every ranch while `work` runs. */
  async function whileHerdsAreHeld<T>(work: (holder: pg.PoolClient) => Promise<T>): Promise<T> {
    const holder = await world.ownerPool.connect();
    try {
      await holder.query('BEGIN');
      await holder.query('LOCK TABLE herd IN ACCESS EXCLUSIVE MODE');
      return await work(holder);
    } finally {
      await holder.query('ROLLBACK');
      holder.release();
    }
  }

  it('does not end the process where the connection was in use', async () => {
    const pool = createPool(world.appUrl, 1);
    const client = await pool.connect();
    const { rows } = await client.query<{ pid: number }>('SELECT pg_backend_pid() AS pid');
    const ended = new Promise((resolve) => client.once('end', resolve));
    await world.ownerPool.query('SELECT pg_terminate_backend($1)', [rows[0]?.pid]);
    await ended;
    client.release();
    expect((await pool.query<{ one: number }>('SELECT 1 AS one')).rows).toEqual([{ one: 1 }]);
    await pool.end();
  });

  it('that died without a word is cut, and those beside it; one whose session works is left alone', async () => {
    const { hostname, port } = new URL(world.appUrl);
    const wire = await CutProxy.before({ host: hostname, port: Number(port) });
    const pool = createPool(wire.urlOf(world.appUrl), 3);
    try {
      const slow = pool.query<{ done: string }>("SELECT 'slept' AS done FROM pg_sleep(7)");
      await Promise.all([pool.query('SELECT 1'), pool.query('SELECT 1')]);
      wire.silence(1);
      // Neither of the other two hears anything; the first to be found takes the unused one with it.
      await expect(pool.query('SELECT 1')).rejects.toThrow(/Connection terminated/);
      await pool.query('SELECT 1');
      expect((await slow).rows).toEqual([{ done: 'slept' }]);
    } finally {
      await pool.end();
      await wire.close();
    }
  });

  it('that died between two answers is cut as well, and what its session held is let go', async () => {
    const { hostname, port } = new URL(world.appUrl);
    const wire = await CutProxy.before({ host: hostname, port: Number(port) });
    // Nothing else would free what the session holds, nor tell of it, while this test lasts.
    const never = { idleInTransactionMs: 3_600_000, lockMs: 3_600_000, statementMs: 3_600_000 };
    const pool = createPool(wire.urlOf(world.appUrl), 2, never);
    try {
      const client = await pool.connect();
      await client.query('BEGIN');
      // Both are on their way before the first is answered.
      const [held, unheard] = [
        client.query('SELECT pg_advisory_xact_lock(727901)'),
        client.query('SELECT 1 FROM pg_sleep(1)'),
      ];
      const cut = expect(unheard).rejects.toThrow(/Connection terminated/);
      await held;
      wire.silence();
      await cut;
      client.release(true);
      await pool.query('SELECT pg_advisory_xact_lock(727901)');
    } finally {
      await pool.end();
      await wire.close();
    }
  });

  it('answers 503 with a time to try again, and the next request is served', async () => {
    const answer = await whileHerdsAreHeld(async () => {
      const asked = ours.as.manager.get(ours.at('/herds'), { expect: 503 });
      const [pid] = await waiting(1);
      await world.ownerPool.query('SELECT pg_terminate_backend($1)', [pid]);
      return asked;
    });
    expect(answer.headers['retry-after']).toMatch(/^\d+$/);
    expect(answer.body).toMatchObject({ type: expect.stringContaining('/problems/not-ready') as string, status: 503 });
    await ours.as.manager.get(ours.at('/herds'));
  });

  it('tells a request that waited too long for a record so, rather than an error of ours', async () => {
    const answer = await whileHerdsAreHeld(() => ours.as.manager.get(ours.at('/herds'), { expect: 503 }));
    expect(answer.headers['retry-after']).toMatch(/^\d+$/);
    expect(answer.body).toMatchObject({ type: expect.stringContaining('/problems/took-too-long') as string });
    await ours.as.manager.get(ours.at('/herds'), { expect: 200 });
  });

  it('keeps connections for the others while the writes of one ranch wait for a record', async () => {
    const id = await herd(ours, await ranch(ours), { name: 'Waited for' });
    const holder = await world.ownerPool.connect();
    await holder.query('BEGIN');
    await holder.query('SELECT 1 FROM herd WHERE id = $1 FOR UPDATE', [id]);
    const { headers } = await ours.as.manager.get(ours.at(`/herds/${id}`));
    const rename = (name: string): Promise<{ status: number }> =>
      ours.as.manager.patch(ours.at(`/herds/${id}`), { name }, { ifMatch: headers['etag'] ?? '' });
    const writes = Array.from({ length: 4 * POOL }, (_, at) => rename(`Herd ${at}`));
    await waiting(2);
    for (let at = 0; at < 2 * POOL; at += 1) await theirs.as.manager.get(theirs.at('/herds'), { expect: 200 });
    await holder.query('ROLLBACK');
    holder.release();
    const statuses = (await Promise.all(writes)).map(({ status }) => status);
    // One was first; each of the others is told that the record changed, or that it waited too long.
    expect(statuses.filter((status) => status === 200).length).toBeLessThanOrEqual(1);
    expect(statuses.filter((status) => ![200, 412, 429, 503].includes(status))).toEqual([]);
  });
});
