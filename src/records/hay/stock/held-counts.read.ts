import { Injectable } from '@nestjs/common';
import { type RawBuilder, sql } from 'kysely';
import { Mass } from '../../../core/units/mass.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { formatMass, type UnitSystem } from '../../../platform/wire/quantity.schema.js';
import { notReversed } from '../../kit/not-reversed.read.js';
import type { HeldCount } from './held-counts.schema.js';

interface HeldRow {
  source_id: string;
  count_id: string;
  happened_on: string;
  counted_kg: string;
  difference_kg: string;
}

/** Which counts entries were told against: `held-counts.store.ts` restates them, by the same rule. */
@Injectable()
export class HeldCountsRead {
  /** Per record, the counts that stood before it was entered, of a moment after what it tells. */
  by(
    tenant: OperationTenant,
    recordIds: readonly string[],
    asked: UnitSystem | undefined,
  ): Promise<(recordId: string) => HeldCount[]> {
    const standing = sql<boolean>`m.kind <> 'reversal' AND ${notReversed('m', { id: 'source_id' })}`;
    return this.#told(tenant, recordIds, asked, standing);
  }

  /** The same of a reversal just written: what it takes back was before these counts. */
  async byReversal(tenant: OperationTenant, reversalId: string, asked: UnitSystem | undefined): Promise<HeldCount[]> {
    return (await this.#told(tenant, [reversalId], asked, sql<boolean>`m.kind = 'reversal'`))(reversalId);
  }

  async #told(
    { db, operationId, operation }: OperationTenant,
    recordIds: readonly string[],
    asked: UnitSystem | undefined,
    which: RawBuilder<boolean>,
  ): Promise<(recordId: string) => HeldCount[]> {
    if (recordIds.length === 0) return () => [];
    const { rows } = await sql<HeldRow>`
      SELECT DISTINCT ON (m.id) m.source_id, c.id AS count_id, c.happened_on, c.counted_kg,
        (SELECT COALESCE(sum(a.kilograms), 0) FROM stock_movement a
          WHERE a.operation_id = ${operationId} AND a.hay_lot_id = c.hay_lot_id AND a.source_kind = 'stock-count'
            AND a.source_id = c.id AND a.kind = 'count-adjustment') AS difference_kg
        FROM stock_movement m
        JOIN stock_count c ON c.operation_id = m.operation_id AND c.hay_lot_id = m.hay_lot_id AND c.id < m.id
         AND c.counted_at >= m.effective_at
       WHERE m.operation_id = ${operationId} AND m.source_id = ANY (${recordIds}::uuid[]) AND ${which}
         AND ${notReversed('c')}
         AND (c.counted_at > m.effective_at OR (m.kind <> 'count-adjustment' AND c.draw_id IS NULL))
       ORDER BY m.id, c.counted_at, c.id DESC`.execute(db);
    const held = new Map<string, HeldCount[]>();
    for (const row of rows)
      held.set(row.source_id, [...(held.get(row.source_id) ?? []), heldCount(row, asked ?? operation.unitPreference)]);
    return (recordId) => held.get(recordId) ?? [];
  }
}

function heldCount(row: HeldRow, units: UnitSystem): HeldCount {
  const counted = formatMass(Mass.kilograms(row.counted_kg), units, 'large');
  const difference = formatMass(Mass.kilograms(row.difference_kg), units, 'large');
  return {
    stockCountId: row.count_id,
    countedOn: row.happened_on,
    counted,
    difference,
    message:
      `The lot was counted on ${row.happened_on}: ${counted.value} ${counted.unit}. What was counted stands, so what ` +
      'lies in the lot since then is as it was; this entry is of before it and changes what the books had then. ' +
      `The count now differs from the books by ${difference.value} ${difference.unit}. If this happened after the ` +
      'count, enter it with its true day or time; if the count left this hay out, reverse the count and count again.',
  };
}
