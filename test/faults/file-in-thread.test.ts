import { randomUUID } from 'node:crypto';
import path from 'node:path';
import { threadsOf } from '../../src/platform/workers/workers.js';
import { type Operation, operationWith } from '../support/people.js';
import { herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

/** A long file of feedings, taken in by a real thread. More entries than one transaction writes the costs of. */
const ROWS = 600;
/** Its rows are alike on purpose. */
const TWICE = { duplicates: 'enter' };
const support = path.resolve(__dirname, '..', 'support', 'run-typescript.cjs');
const worker = path.resolve(__dirname, '..', '..', 'src', 'worker.ts');

describe('A long file that a thread takes in', () => {
  let world: World;
  let operation: Operation;
  beforeAll(async () => {
    world = await openWorld({
      workers: ({ appUrl }) => {
        const parts = { appUrl, logLevel: 'silent', slowStatementMs: 3_600_000 };
        return threadsOf(worker, parts, ['--require', support]);
      },
    });
    operation = await operationWith(world, { roles: ['owner', 'manager'] });
    const ranchId = await ranch(operation);
    await herd(operation, ranchId);
    await lot(operation, ranchId, { name: 'Stack', tons: '24' });
  });
  afterAll(() => world.close());

  const file = (pounds: string): string =>
    [
      'herd,fed_on,method,role,lot,weight_lb',
      ...Array.from({ length: ROWS }, (_, row) => {
        const day = String(2 + (row % 12)).padStart(2, '0');
        return `Weaned calves,2027-01-${day},windrow-on-ground,mixed,Stack,${pounds}`;
      }),
    ].join('\r\n');
  const counted = async (text: string): Promise<number> =>
    (await world.ownerPool.query(text, [operation.id])).rowCount ?? 0;
  const leftOpen = (): Promise<number> =>
    counted(`SELECT FROM pg_stat_activity WHERE datname = current_database() AND
      state LIKE 'idle in transaction%' AND $1::uuid IS NOT NULL`);
  /** A moment later, by when all that was on its way has come. */
  const stillOpen = async (): Promise<number> => {
    for (let look = 0; look < 20 && (await leftOpen()) > 0; look += 1)
      await new Promise((resolve) => setTimeout(resolve, 50));
    return leftOpen();
  };
  const feedings = (): Promise<number> => counted('SELECT FROM feeding WHERE operation_id = $1');

  it('has its costs written and leaves nothing open, though the thread sleeps then', async () => {
    const { body } = await operation.as.manager.post<{ recordCount: number }>(
      operation.at('/imports/feedings'),
      file('1.5'),
      { headers: { 'Content-Type': 'text/csv' }, query: TWICE, expect: 201 },
    );
    expect([body.recordCount, await feedings()]).toEqual([ROWS, ROWS]);
    expect(await counted('SELECT FROM costing_due WHERE operation_id = $1')).toBe(0);
    expect(await leftOpen()).toBe(0);
  });

  it.each<[string, () => Promise<unknown>]>([
    [
      'a file that was only checked',
      () =>
        operation.as.manager.post(operation.at('/imports/feedings/check'), file('1.7'), {
          headers: { 'Content-Type': 'text/csv' },
          key: null,
          expect: 200,
        }),
    ],
    [
      'a long report',
      () => operation.as.owner.get(operation.at('/journal?from=2027-01-01&until=2027-01-14'), { expect: 200 }),
    ],
  ])(
    'leaves nothing open after %s: a session in a transaction would be ended while the thread sleeps',
    async (_, ask) => {
      await ask();
      expect(await stillOpen()).toBe(0);
    },
  );

  it('is taken in to its end, though whoever sent it is gone', async () => {
    const gone = new AbortController();
    const sent = fetch(
      `${world.address}${operation.at('/imports/feedings')}?${new URLSearchParams(TWICE).toString()}`,
      {
        method: 'POST',
        headers: {
          authorization: `Bearer ${operation.as.manager.token ?? ''}`,
          'content-type': 'text/csv',
          'idempotency-key': randomUUID(),
        },
        body: file('2.5'),
        signal: gone.signal,
      },
    );
    const running = "SELECT FROM data_import WHERE operation_id = $1 AND state = 'running'";
    while ((await counted(running)) === 0) await new Promise((resolve) => setTimeout(resolve, 20));
    gone.abort();
    await expect(sent).rejects.toThrow();
    while ((await counted(running)) > 0) await new Promise((resolve) => setTimeout(resolve, 20));
    expect(await feedings()).toBe(2 * ROWS);
    // And whoever comes again gets that import.
    const again = await operation.as.manager.post<{ state: string; recordCount: number }>(
      operation.at('/imports/feedings'),
      file('2.5'),
      { headers: { 'Content-Type': 'text/csv' }, query: TWICE, expect: 201 },
    );
    expect([again.body.state, again.body.recordCount, await feedings()]).toEqual(['done', ROWS, 2 * ROWS]);
  });
});
