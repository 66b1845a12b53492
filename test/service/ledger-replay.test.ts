/*
 * The guard measures a new movement from its own instant on. It must say what a plain replay of the whole history says:
 * of random histories of a thousand statements, entered in no order, many at one instant, some statements with several
 * rows, each verdict and each shortage is held against a sum over everything. The replay is the whole of the
 * expectation; it knows nothing of the guard's short cut.
 */
import { newId } from '../../src/platform/identifiers.js';
import { examples } from '../support/properties.js';
import { type Operation, operationWith } from '../support/people.js';
import { lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

const SEED = 20261125;
const STATEMENTS = examples(1000);
/** Minutes within which the movements lie: few enough that many share an instant. */
const INSTANTS = 400;
const FIRST = Date.UTC(2026, 10, 5);

interface Planned {
  minute: number;
  kilograms: number;
}

/** Uniform numbers from 0 to below 1 of a stated seed (mulberry32, public domain). */
function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
}

/**
 * The deepest balance of a history, what happens in one minute counted together: the whole of it, from the first
 * movement to the last.
 */
function deepest(movements: readonly Planned[]): number {
  const byMinute = new Map<number, number>();
  for (const { minute, kilograms } of movements) byMinute.set(minute, (byMinute.get(minute) ?? 0) + kilograms);
  let balance = 0;
  let lowest = 0;
  for (const minute of [...byMinute.keys()].sort((a, b) => a - b)) {
    balance += byMinute.get(minute) ?? 0;
    lowest = Math.min(lowest, balance);
  }
  return lowest;
}

let world: World;
let operation: Operation;
let ranchId: string;
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  ranchId = await ranch(operation);
});
afterAll(() => world.close());

describe('the guard of the ledger', () => {
  it.each([SEED, SEED + 1])('says what a whole replay says, seed %i', async (seed) => {
    const random = seeded(seed);
    const { lotId } = await lot(operation, ranchId, { name: `Replayed ${seed}`, tons: '1' });
    // The ticket's own movement stands at the start of 1 November, before all of these.
    const {
      rows: [ticket],
    } = await world.ownerPool.query<{ kilograms: string; person: string }>(
      'SELECT kilograms, recorded_by AS person FROM stock_movement WHERE hay_lot_id = $1',
      [lotId],
    );
    const history: Planned[] = [{ minute: -1, kilograms: Math.round(Number(ticket?.kilograms) * 1e5) }];
    const counts = { taken: 0, refused: 0, movements: 1 };
    for (let statement = 0; statement < STATEMENTS; statement += 1) {
      const rows = Array.from({ length: random() < 0.2 ? 2 + Math.floor(random() * 3) : 1 }, (): Planned => {
        const arrives = random() < 0.46;
        return {
          minute: Math.floor(random() * INSTANTS),
          kilograms: (arrives ? 1 : -1) * Math.ceil(random() * 300) * 1e5,
        };
      });
      const short = -deepest([...history, ...rows]);
      const values: unknown[] = [operation.id, lotId, ranchId, ticket?.person];
      const tuples = rows.map(({ minute, kilograms }) => {
        const at = new Date(FIRST + minute * 60_000).toISOString();
        const from = values.push(newId(), kilograms / 1e5, String(kilograms / 1e5), at) - 3;
        return (
          `($1, $${from}, $2, 'count-adjustment', $${from + 1}, $${from + 2}, 'kg', ($${from + 3}::timestamptz AT ` +
          `TIME ZONE 'UTC')::date, $${from + 3}, $3, 'stock-count', $${from}, 'random', $4)`
        );
      });
      const insert =
        'INSERT INTO stock_movement (operation_id, id, hay_lot_id, kind, kilograms, typed_value, typed_unit, ' +
        'effective_on, effective_at, ranch_id, source_kind, source_id, reason, recorded_by) VALUES ' +
        `${tuples.join(', ')}`;
      const verdict = await world.ownerPool.query({ name: `replay of ${rows.length}`, text: insert, values }).then(
        () => 'taken',
        (error: { code: string; detail: string }) => [
          error.code,
          Math.round(Number((JSON.parse(error.detail) as { shortKilograms: string }).shortKilograms) * 1e5),
        ],
      );
      expect([statement, verdict]).toEqual([statement, short > 0 ? ['RY001', short] : 'taken']);
      if (short > 0) counts.refused += 1;
      else {
        history.push(...rows);
        counts.taken += 1;
        counts.movements += rows.length;
      }
    }
    // Neither verdict was rare, and the lot was long.
    expect(Math.min(counts.taken, counts.refused)).toBeGreaterThan(STATEMENTS / 25);
    expect(counts.movements).toBeGreaterThan(STATEMENTS * 0.8);
    const {
      rows: [kept],
    } = await world.ownerPool.query<{ kilograms: string; movements: number }>(
      'SELECT sum(kilograms) AS kilograms, count(*)::int AS movements FROM stock_movement WHERE hay_lot_id = $1',
      [lotId],
    );
    expect([Math.round(Number(kept?.kilograms) * 1e5), kept?.movements]).toEqual([
      history.reduce((sum, one) => sum + one.kilograms, 0),
      counts.movements,
    ]);
  });
});
