/*
 * A table that was just filled is one that PostgreSQL's planner knows nothing of, until it has looked at it a minute
 * later. A report of such books must not read them once for each of their rows. What is counted are rows that
 * PostgreSQL fetched, by its own statistics.
 */
import { Database } from '../../src/platform/database/database.js';
import { WrittenCostsService } from '../../src/records/hay/costing/written-costs.service.js';
import { rowsReadWhile } from '../support/at-scale.js';
import { operationWith } from '../support/people.js';
import { herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

const MOVEMENTS = 1800;
/** What one row may cost: it is looked up by itself for the movement, its cost and what it reverses. */
const TIMES_EACH = 10;

let world: World;
beforeAll(async () => {
  world = await openWorld({ now: '2027-01-15T15:00:00.000Z' });
  await world.ownerPool.query(`DO $$ BEGIN
    ALTER TABLE stock_movement SET (autovacuum_enabled = off);
    ALTER TABLE costed_entry SET (autovacuum_enabled = off);
  END $$`);
});
afterAll(() => world.close());

it('is read once by a report, not once for each of its rows', async () => {
  const operation = await operationWith(world, { roles: ['manager'] });
  const ranchId = await ranch(operation);
  const herdId = await herd(operation, ranchId);
  const { lotId } = await lot(operation, ranchId, { tons: '200', purchasedOn: '2026-10-20' });
  await world.ownerPool.query(
    `INSERT INTO stock_movement (operation_id, id, hay_lot_id, kind, kilograms, typed_value, typed_unit, effective_on,
       effective_at, ranch_id, herd_id, source_kind, source_id, recorded_by)
     SELECT $1, gen_random_uuid(), $2, 'feed', -10, '-10', 'kg', d.day, d.day + interval '20 hours', $3, $4, 'feeding',
       gen_random_uuid(), m.recorded_by
       FROM stock_movement m, generate_series(0, $5::int - 1) AS n,
         LATERAL (SELECT date '2026-11-01' + n / 30 AS day) AS d
      WHERE m.operation_id = $1`,
    [operation.id, lotId, ranchId, herdId, MOVEMENTS],
  );
  const costs = world.application.get(WrittenCostsService);
  while ((await world.application.get(Database).keepBooks(operation.id, (books) => costs.writePart(books))) === 'more');
  const days = 'from=2026-11-01&until=2026-12-31';
  const read: Record<string, number> = {};
  for (const address of [
    `/reports/season-cost?${days}`,
    `/reports/cost-of-gain?${days}`,
    `/hay-lots/${lotId}/card?until=2026-12-31`,
  ]) {
    const rows = await rowsReadWhile(() => operation.as.owner.get(operation.at(address), { expect: 200 }));
    for (const table of ['stock_movement', 'costed_entry']) read[`${table} by ${address}`] = rows.get(table) ?? 0;
  }
  expect(Object.values(read).some((rows) => rows >= MOVEMENTS)).toBe(true);
  expect(Object.entries(read).filter(([, rows]) => rows > TIMES_EACH * MOVEMENTS)).toEqual([]);
});
