import { type AliasedRawBuilder, sql } from 'kysely';

interface LotLine {
  operation_id: string;
  /** The lot that was asked for. */
  for_lot_id: string;
  /** The lot itself, or one it was split from, however far up. */
  lot_id: string;
  lot_name: string;
  splits: number;
  /** Last day on which the hay of both was still together; null for the lot itself. */
  together_until: string | null;
}

/** For a query: pairs each of these lots with itself and every lot that it was split from, as `line`. */
export function lotLine(
  operationIds: readonly string[],
  lotIds: readonly string[],
): AliasedRawBuilder<LotLine, 'line'> {
  return sql<LotLine>`(WITH RECURSIVE upward AS (
    SELECT hay_lot.operation_id, hay_lot.id AS for_lot_id, hay_lot.id AS lot_id, hay_lot.name AS lot_name,
      hay_lot.split_from_id, 0 AS splits, NULL::date AS together_until
      FROM hay_lot
     WHERE hay_lot.operation_id = ANY (${operationIds}::uuid[]) AND hay_lot.id = ANY (${lotIds}::uuid[])
    UNION ALL
    SELECT hay_lot.operation_id, upward.for_lot_id, hay_lot.id, hay_lot.name, hay_lot.split_from_id, upward.splits + 1,
      least(upward.together_until, (SELECT min(t.happened_on) FROM hay_transfer t
        WHERE t.operation_id = upward.operation_id AND t.to_lot_id = upward.lot_id AND t.from_lot_id = hay_lot.id))
      FROM upward
      JOIN hay_lot ON hay_lot.operation_id = upward.operation_id AND hay_lot.id = upward.split_from_id
  ) SELECT operation_id, for_lot_id, lot_id, lot_name, splits, together_until FROM upward)`.as<'line'>('line');
}
