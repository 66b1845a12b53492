import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import pg from 'pg';
import { to as copyTo } from 'pg-copy-streams';
import { csvLines } from '../../src/platform/http/csv.js';
import { operationWith } from '../support/people.js';
import { herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';
import { inTurns, report } from './figure.js';
import { profiled } from './profile.js';

/**
 * What a large pull costs: the streamed ledger against COPY of the same rows in time, and in memory against the same
 * rows read at once and written as one text.
 */

const ROWS = 100_000;
jest.setTimeout(600_000);

setFlagsFromString('--expose-gc');
const collect = runInNewContext('gc') as () => void;

/**
 * The most memory in use while something runs, above what was in use before, in MB; what is garbage is swept before
 * each look.
 */
async function peakMegabytes(work: (heldNow: () => void) => Promise<void>): Promise<number> {
  collect();
  const before = process.memoryUsage();
  let most = 0;
  const look = (): void => {
    collect();
    const now = process.memoryUsage();
    most = Math.max(most, now.heapUsed + now.external - before.heapUsed - before.external);
  };
  const watch = setInterval(look, 1000);
  await work(look);
  clearInterval(watch);
  return Number((most / 1e6).toFixed(1));
}

describe('a large pull', () => {
  let world: World;
  beforeAll(async () => {
    world = await openWorld({ now: '2027-12-31T18:00:00.000Z' });
  });
  afterAll(() => world.close());

  it(`of a ledger of ${ROWS} draws streams`, async () => {
    const operation = await operationWith(world, { roles: ['owner', 'manager', 'accountant'] });
    const ranchId = await ranch(operation);
    const herdId = await herd(operation, ranchId);
    const { lotId } = await lot(operation, ranchId, { tons: '40000' });
    const { ownerPool } = world;
    await ownerPool.query('ALTER TABLE stock_movement DISABLE TRIGGER USER');
    await ownerPool.query(
      `
      INSERT INTO stock_movement (operation_id, id, hay_lot_id, kind, kilograms, typed_value, typed_unit, effective_on,
        effective_at, ranch_id, herd_id, source_kind, source_id, recorded_at, recorded_by)
      SELECT $1, gen_random_uuid(), $2, 'feed', -100, '-100', 'kg', day::date, day, $3, $4, 'feeding',
        gen_random_uuid(), day, $5
        FROM generate_series(1, $6::int) AS n,
          LATERAL (SELECT timestamptz '2026-11-02 12:00Z' + n * interval '5 minutes' AS day) AS at`,
      [operation.id, lotId, ranchId, herdId, operation.people.owner.id, ROWS],
    );
    await ownerPool.query('ALTER TABLE stock_movement ENABLE TRIGGER USER');
    const streamed = async (heldNow: () => void = () => undefined): Promise<void> => {
      let lines = 0;
      const answer = await fetch(`${world.address}${operation.at('/hay-movements?format=csv&head=no')}`, {
        headers: { authorization: `Bearer ${operation.as.accountant.token ?? ''}` },
      });
      expect(answer.status).toBe(200);
      for await (const chunk of answer.body as unknown as AsyncIterable<Uint8Array>)
        for (const byte of chunk) if (byte === 10) lines += 1;
      heldNow();
      // A header and the purchase beside the draws.
      expect(lines).toBe(ROWS + 2);
    };
    /** What the table is, as the database writes it; the first of two baselines. */
    const copied = async (): Promise<void> => {
      // The pools' connections are pipelined, which COPY cannot be.
      const client = new pg.Client({ connectionString: world.ownerUrl });
      await client.connect();
      try {
        let lines = 0;
        const text = `COPY (SELECT m.*, h.name FROM stock_movement m
          JOIN hay_lot h ON h.operation_id = m.operation_id AND h.id = m.hay_lot_id
          WHERE m.operation_id = '${operation.id}' ORDER BY sequence) TO STDOUT (FORMAT csv)`;
        for await (const chunk of client.query(copyTo(text)) as AsyncIterable<Uint8Array>)
          for (const byte of chunk) if (byte === 10) lines += 1;
        expect(lines).toBe(ROWS + 1);
      } finally {
        await client.end();
      }
    };
    const atOnce = async (heldNow: () => void = () => undefined): Promise<void> => {
      const { rows } = await ownerPool.query<Record<string, string>>(
        'SELECT m.*, h.name FROM stock_movement m JOIN hay_lot h ON h.operation_id = m.operation_id AND h.id = ' +
          'm.hay_lot_id WHERE m.operation_id = $1 ORDER BY sequence',
        [operation.id],
      );
      const text = csvLines(
        rows.map((row) => Object.values(row).map((value) => (value === null ? null : String(value)))),
      );
      heldNow();
      expect(text.length).toBeGreaterThan(ROWS);
    };
    const times = await inTurns(3, () => streamed(), copied);
    await profiled(`export-${ROWS}-movements`, () => streamed());
    report({
      bench: `export-${ROWS}-movements`,
      value: Math.round(times.measured),
      unit: 'ms',
      baseline: 'COPY of the same rows to a client',
      baselineValue: Math.round(times.baseline),
      ratio: times.ratio,
      // Half of its throughput.
      goal: { ratioAtMost: 2 },
    });
    const [most, mostAtOnce] = [await peakMegabytes(streamed), await peakMegabytes(atOnce)];
    report({
      bench: `export-${ROWS}-movements-memory`,
      value: most,
      unit: 'MB',
      baseline: 'the same rows read at once and written as one text',
      baselineValue: mostAtOnce,
      goal: { valueAtMost: 64 * 1.048576 },
    });
  });
});
