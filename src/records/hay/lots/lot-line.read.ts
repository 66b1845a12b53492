import { type AliasedRawBuilder, sql } from 'kysely';
import { notReversed } from '../../kit/not-reversed.read.js';

/**
 * An operation whose books are asked: the instant by which a record must have been known and, if given, the last day
 * that counts.
 */
export interface KnownUntil {
  operationId: string;
  instant: string;
  sampledUntil?: string | undefined;
}

export interface LotLine {
  operation_id: string;
  /** The lot that was asked for. */
  for_lot_id: string;
  /** The lot itself; for hay that was moved into it from another lot, that lot. */
  source_id: string;
  /** The source, or a lot that it was split from, however far up. */
  lot_id: string;
  lot_name: string;
  splits: number;
  /** Last day on which the hay of both was still together; null for the lot itself. */
  together_until: string | null;
  /** Last day on which hay of the source was moved in; null where the source is the lot itself. */
  came_on: string | null;
  /** How much of it was moved in, kg; null where the source is the lot itself. */
  moved_kg: string | null;
}

/**
 * For a query: pairs each of these lots with itself, with every lot that it was split from and, as sources of their
 * own, with the lots whose hay was moved into it, as `line`.
 */
export function lotLine(
  operations: readonly KnownUntil[],
  lotIds: readonly string[],
): AliasedRawBuilder<LotLine, 'line'> {
  const operationIds = operations.map((one) => one.operationId);
  // Days only ever go back along a line and equal rows are dropped, so hay hauled in a circle comes to an end.
  return sql<LotLine>`(WITH RECURSIVE asked AS (
    SELECT * FROM unnest(${operationIds}::uuid[], ${operations.map((one) => one.instant)}::timestamptz[],
      ${operations.map((one) => one.sampledUntil ?? null)}::date[]) AS asked (operation_id, instant, until_day)
  ), moved AS (
    SELECT t.operation_id, t.to_lot_id, t.from_lot_id, min(t.happened_on) AS first_on, max(t.happened_on) AS last_on,
      sum(t.weight_kg) AS kg
      FROM hay_transfer t
      JOIN asked ON asked.operation_id = t.operation_id
      JOIN hay_lot ON hay_lot.operation_id = t.operation_id AND hay_lot.id = t.to_lot_id
     WHERE t.recorded_at <= asked.instant AND t.happened_on <= coalesce(asked.until_day, 'infinity')
       AND ${notReversed('t', { knownAt: sql`asked.instant` })}
     GROUP BY t.operation_id, t.to_lot_id, t.from_lot_id, hay_lot.split_from_id
    -- The transfer that split a lot off is told by the lot itself.
    HAVING t.from_lot_id IS DISTINCT FROM hay_lot.split_from_id OR max(t.happened_on) > min(t.happened_on)
  ), upward AS (
    SELECT hay_lot.operation_id, hay_lot.id AS for_lot_id, hay_lot.id AS source_id, hay_lot.id AS lot_id,
      hay_lot.split_from_id, 0 AS splits, NULL::date AS together_until, NULL::date AS came_on,
      NULL::numeric AS moved_kg
      FROM hay_lot
     WHERE hay_lot.operation_id = ANY (${operationIds}::uuid[]) AND hay_lot.id = ANY (${lotIds}::uuid[])
    UNION
    SELECT upward.operation_id, upward.for_lot_id, coalesce(up.source_id, upward.source_id), up.lot_id,
      hay_lot.split_from_id, up.splits, least(upward.together_until, up.until_day),
      coalesce(upward.came_on, least(upward.together_until, up.came_on)), coalesce(upward.moved_kg, up.kg)
      FROM upward
     CROSS JOIN LATERAL (
       SELECT NULL::uuid AS source_id, upward.split_from_id AS lot_id, upward.splits + 1 AS splits,
         NULL::date AS came_on, NULL::numeric AS kg, (SELECT min(t.happened_on) FROM hay_transfer t
           WHERE t.operation_id = upward.operation_id AND t.to_lot_id = upward.lot_id
             AND t.from_lot_id = upward.split_from_id) AS until_day
        WHERE upward.split_from_id IS NOT NULL
       UNION ALL
       SELECT moved.from_lot_id, moved.from_lot_id, 0, moved.last_on, moved.kg, moved.last_on
         FROM moved
        WHERE moved.operation_id = upward.operation_id AND moved.to_lot_id = upward.lot_id
          AND moved.from_lot_id <> upward.for_lot_id
          AND moved.first_on <= coalesce(upward.together_until, 'infinity')
     ) AS up
      JOIN hay_lot ON hay_lot.operation_id = upward.operation_id AND hay_lot.id = up.lot_id
  ) SELECT upward.operation_id, for_lot_id, source_id, lot_id, hay_lot.name AS lot_name, min(splits) AS splits,
      max(together_until) AS together_until, max(came_on) AS came_on,
      max(moved_kg) AS moved_kg
      FROM upward
      JOIN hay_lot ON hay_lot.operation_id = upward.operation_id AND hay_lot.id = upward.lot_id
     GROUP BY upward.operation_id, for_lot_id, source_id, lot_id, hay_lot.name)`.as<'line'>('line');
}
