import { Injectable } from '@nestjs/common';
import { type RawBuilder, sql } from 'kysely';
import { Mass } from '../../../core/units/mass.js';
import { type Books, operationsOf } from '../../../platform/database/books.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { WeighingColumns } from '../purchases/ticket.js';
import { notReversed } from '../../kit/not-reversed.read.js';

/** Hay that came into a lot, and what is known of its weight. */
export interface ReceivedIntoLot extends Pick<
  WeighingColumns,
  'bale_count' | 'bale_weight_unit' | 'bales_weighed' | 'bale_weight_sd'
> {
  hay_lot_id: string;
  weight_kg: string;
}

/** What came into lots by count and weight: bought, harvested or hauled here. */
function receivedByCount(operations: RawBuilder<unknown>, lots: RawBuilder<unknown>): RawBuilder<unknown> {
  return sql`(SELECT came.* FROM (SELECT p.operation_id, p.id, p.hay_lot_id, p.weight_kg, p.bale_count::numeric
                FROM hay_purchase p WHERE p.operation_id IN (${operations}) AND p.hay_lot_id IN (${lots})
              UNION ALL SELECT h.operation_id, h.id, h.hay_lot_id, h.weight_kg, h.bale_count::numeric FROM harvest h
                WHERE h.operation_id IN (${operations}) AND h.hay_lot_id IN (${lots})
              UNION ALL SELECT t.operation_id, t.id, t.to_lot_id, t.weight_kg, t.bale_count::numeric
                FROM hay_transfer t
                WHERE t.operation_id IN (${operations}) AND t.to_lot_id IN (${lots})) AS came (operation_id, id,
                hay_lot_id, weight_kg, bale_count)
       WHERE came.bale_count > 0 AND ${notReversed('came')}) AS received`;
}

/** Mean weight of a bale of one lot, kg, for a query; null where none were counted. */
export function meanBaleKg(operationId: RawBuilder<unknown>, lotId: RawBuilder<unknown>): RawBuilder<string | null> {
  return sql`(SELECT sum(received.weight_kg) / sum(received.bale_count) FROM ${receivedByCount(operationId, lotId)})`;
}

/** Questions about the hay on hand. */
@Injectable()
export class StockRead {
  /** The balance of each lot at the end of a day, or at an instant. */
  async balances(
    books: Books,
    at: { lotIds?: readonly string[]; untilDay?: string; untilInstant?: string } = {},
  ): Promise<Map<string, Mass>> {
    let select = books.db
      .selectFrom('stock_movement')
      .select(['hay_lot_id', (e) => sql<string>`${e.fn.sum('kilograms')}`.as('kilograms')])
      .where('operation_id', 'in', operationsOf(books))
      .groupBy('hay_lot_id');
    if (at.lotIds !== undefined) {
      if (at.lotIds.length === 0) return new Map();
      select = select.where('hay_lot_id', 'in', [...at.lotIds]);
    }
    if (at.untilDay !== undefined) select = select.where('effective_on', '<=', at.untilDay);
    if (at.untilInstant !== undefined) select = select.where('effective_at', '<=', at.untilInstant);
    return new Map((await select.execute()).map((row) => [row.hay_lot_id, Mass.kilograms(row.kilograms)]));
  }

  /**
   * Mean weight of a bale of each lot: what came in by count and weight (bought, harvested or hauled here), over the
   * bales.
   */
  async baleWeights(books: Books, lotIds: readonly string[]): Promise<Map<string, Mass>> {
    if (lotIds.length === 0) return new Map();
    const operations = sql.join(operationsOf(books).map((operationId) => sql`${operationId}::uuid`));
    const lots = sql.join(lotIds.map((lotId) => sql`${lotId}::uuid`));
    const { rows } = await sql<{ hay_lot_id: string; kilograms: string; bales: string }>`
      SELECT received.hay_lot_id, sum(received.weight_kg) AS kilograms, sum(received.bale_count) AS bales
        FROM ${receivedByCount(operations, lots)}
       GROUP BY received.hay_lot_id`.execute(books.db);
    return new Map(rows.map((row) => [row.hay_lot_id, Mass.kilograms(row.kilograms).dividedBy(row.bales)]));
  }

  /**
   * What came into each lot until a day (bought, harvested or hauled here), with what is known about its bales where
   * some were weighed.
   */
  async receivedInto(
    { db, operationId }: OperationTenant,
    lotIds: readonly string[],
    untilDay: string,
  ): Promise<ReceivedIntoLot[]> {
    if (lotIds.length === 0) return [];
    const lots = sql.join(lotIds.map((lotId) => sql`${lotId}::uuid`));
    const { rows } = await sql<ReceivedIntoLot>`
      SELECT received.hay_lot_id, received.weight_kg, received.bale_count, received.bale_weight_unit,
        received.bales_weighed, received.bale_weight_sd
        FROM (SELECT p.id, p.hay_lot_id, p.happened_on, p.weight_kg, p.bale_count, p.bale_weight_unit, p.bales_weighed,
          p.bale_weight_sd FROM hay_purchase p WHERE p.operation_id = ${operationId} AND p.hay_lot_id IN (${lots})
              UNION ALL SELECT h.id, h.hay_lot_id, h.happened_on, h.weight_kg, h.bale_count, h.bale_weight_unit,
                h.bales_weighed, h.bale_weight_sd FROM harvest h WHERE h.operation_id = ${operationId}
                AND h.hay_lot_id IN (${lots})
              UNION ALL SELECT t.id, t.to_lot_id, t.happened_on, t.weight_kg, NULL, NULL, NULL, NULL
                FROM hay_transfer t WHERE t.operation_id = ${operationId} AND t.to_lot_id IN (${lots})) AS received
       WHERE received.happened_on <= ${untilDay}::date AND ${notReversed('received', { operationId })}
       ORDER BY received.happened_on, received.id`.execute(db);
    return rows;
  }

  /**
   * What came into each lot after it was sampled, up to a day: bought, harvested or moved in, but not from the lot that
   * it was split off. A lot that was empty when it was sampled was sampled before its hay came. Where another lot was
   * sampled (`sampledOn: null`), everything counts that did not come from there.
   */
  async cameInSince(
    books: Books,
    samples: readonly { lotId: string; sampledOn: string | null }[],
    untilDay: string,
  ): Promise<Map<string, Mass>> {
    if (samples.length === 0) return new Map();
    const { rows } = await sql<{ hay_lot_id: string; kilograms: string }>`
      SELECT m.hay_lot_id, sum(m.kilograms) AS kilograms
        FROM unnest(${samples.map((one) => one.lotId)}::uuid[], ${samples.map((one) => one.sampledOn)}::date[])
          AS sample (lot_id, sampled_on)
        JOIN hay_lot l ON l.operation_id = ANY (${operationsOf(books)}::uuid[]) AND l.id = sample.lot_id
        JOIN stock_movement m ON m.operation_id = l.operation_id AND m.hay_lot_id = l.id
         AND m.kind IN ('purchase', 'harvest', 'transfer-in')
         AND m.effective_on > coalesce(sample.sampled_on, '-infinity') AND m.effective_on <= ${untilDay}::date
        LEFT JOIN hay_transfer t ON t.operation_id = m.operation_id AND t.id = m.source_id
       WHERE (t.id IS NULL OR t.from_lot_id IS DISTINCT FROM l.split_from_id)
         AND ${notReversed('m', { id: 'source_id' })}
         AND (sample.sampled_on IS NULL OR (SELECT sum(b.kilograms) FROM stock_movement b
           WHERE b.operation_id = l.operation_id AND b.hay_lot_id = l.id AND b.effective_on <= sample.sampled_on) > 0)
       GROUP BY m.hay_lot_id`.execute(books.db);
    return new Map(rows.map((row) => [row.hay_lot_id, Mass.kilograms(row.kilograms)]));
  }
}
