import { type Insertable, sql, type Transaction } from 'kysely';
import type { DB } from '../../../platform/database/types.js';
import { newId } from '../../../platform/identifiers.js';
import { notReversed } from '../../kit/not-reversed.read.js';

/**
 * Adds movements, and with them holds the counts that come after them. A count is a fact of its day: the books are
 * adjusted to conform to it (26 CFR 1.471-2(d)), so what is entered later for a day before it changes what the books
 * said, not what lay there. The first count after each movement that still stands is restated by the opposite of it:
 * the balance after the count is what was counted, and all later ones are as they were.
 *
 * A count without a draw holds for what happened at its own instant too, since it counts after its day's feedings; one
 * that was confirmed with a draw was taken before it. Counts at one instant do not restate each other. One statement,
 * since a draw entered late may be of hay that only the restated count leaves there.
 * @returns whether a count was restated
 */
export async function addHoldingCounts(
  db: Transaction<DB>,
  rows: readonly (Insertable<DB['stock_movement']> & { id: string })[],
): Promise<boolean> {
  if (rows.length === 0) return false;
  const added = await sql<{ id: string }>`INSERT INTO "stock_movement" (operation_id, id, hay_lot_id, kind, kilograms,
      typed_value, typed_unit, effective_on, effective_at, ranch_id, place_id, herd_id, source_kind, source_id,
      reverses_id, reason, recorded_at, recorded_by)
    WITH fresh AS MATERIALIZED (
      SELECT * FROM json_populate_recordset(NULL::stock_movement, ${JSON.stringify(rows)}::json)),
    held AS (
      SELECT DISTINCT ON (f.id) f.id, f.kilograms, f.recorded_at, f.recorded_by, c.operation_id, c.id AS count_id,
        c.hay_lot_id, c.happened_on, c.counted_at, c.reason
        FROM fresh f
        LEFT JOIN stock_movement o ON o.operation_id = f.operation_id AND o.id = f.reverses_id
        JOIN stock_count c ON c.operation_id = f.operation_id AND c.hay_lot_id = f.hay_lot_id
         AND c.counted_at >= f.effective_at
       WHERE ${notReversed('c')} AND (c.counted_at > f.effective_at
         OR (COALESCE(o.kind, f.kind) <> 'count-adjustment' AND c.draw_id IS NULL AND NOT EXISTS (
           SELECT 1 FROM stock_count d WHERE d.operation_id = c.operation_id AND d.hay_lot_id = c.hay_lot_id
              AND d.counted_at = c.counted_at AND d.draw_id IS NOT NULL AND d.id > c.id)))
       ORDER BY f.id, c.counted_at, c.id DESC),
    restated AS (
      SELECT (${rows.map(() => newId())}::uuid[])[row_number() OVER (ORDER BY h.count_id)] AS id, h.operation_id,
        h.count_id, h.hay_lot_id, h.happened_on, h.counted_at, h.reason, h.recorded_at, h.recorded_by,
        -sum(h.kilograms) AS kilograms, l.ranch_id, l.place_id
        FROM held h JOIN hay_lot l ON l.operation_id = h.operation_id AND l.id = h.hay_lot_id
       GROUP BY h.operation_id, h.count_id, h.hay_lot_id, h.happened_on, h.counted_at, h.reason, h.recorded_at,
         h.recorded_by, l.ranch_id, l.place_id
      HAVING sum(h.kilograms) <> 0)
    SELECT operation_id, id, hay_lot_id, kind, kilograms, typed_value, typed_unit, effective_on, effective_at, ranch_id,
      place_id, herd_id, source_kind, source_id, reverses_id, reason, recorded_at, recorded_by FROM fresh
    UNION ALL
    SELECT operation_id, id, hay_lot_id, 'count-adjustment', kilograms, trim_scale(kilograms)::text, 'kg', happened_on,
      counted_at, ranch_id, place_id, NULL, 'stock-count', count_id, NULL, reason, recorded_at, recorded_by
      FROM restated
    RETURNING id`.execute(db);
  return added.rows.length > rows.length;
}
