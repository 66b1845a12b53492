import { Injectable } from '@nestjs/common';
import { type RawBuilder, sql } from 'kysely';
import { Mass } from '../../../core/units/mass.js';
import { together } from '../../../platform/database/together.js';
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

/** A count that an entry does not hold, since it was posted after it. */
interface PassedRow extends HeldRow {
  posted_on: string;
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
    const told = sql<HeldRow>`
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
       ORDER BY m.id, c.counted_at, c.id DESC`;
    const [{ rows }, passed] = await together(told.execute(db), passedBy({ db, operationId }, recordIds, which));
    const held = new Map<string, HeldCount[]>();
    const units = asked ?? operation.unitPreference;
    for (const row of rows) held.set(row.source_id, [...(held.get(row.source_id) ?? []), heldCount(row, units)]);
    for (const row of passed) if (!held.has(row.source_id)) held.set(row.source_id, [passedCount(row, units)]);
    return (recordId) => held.get(recordId) ?? [];
  }
}

/**
 * Entries that were posted late, after a count of a closed period that what they tell was before: the last such count
 * of each lot, and by how much the books have moved away from it since, by all that was posted so. What an entry
 * corrects counts as gone: a ticket is entered before its mistake is taken out.
 */
async function passedBy(
  { db, operationId }: Pick<OperationTenant, 'db' | 'operationId'>,
  recordIds: readonly string[],
  which: RawBuilder<boolean>,
): Promise<PassedRow[]> {
  const { rows } = await sql<PassedRow>`
    SELECT * FROM (
      SELECT DISTINCT ON (m.source_id, m.hay_lot_id) m.source_id, c.id AS count_id, c.happened_on, c.counted_kg,
        l.posted_on, -(
          SELECT COALESCE(sum(b.kilograms), 0) FROM stock_movement b
            LEFT JOIN stock_movement r ON r.operation_id = b.operation_id AND r.id = b.reverses_id
           WHERE b.operation_id = ${operationId} AND b.hay_lot_id = c.hay_lot_id AND b.id > c.id
             AND b.effective_on > c.happened_on AND EXISTS (
               SELECT 1 FROM late_posting p WHERE p.operation_id = b.operation_id
                  AND p.subject_id IN (b.source_id, r.source_id) AND p.told_on <= c.happened_on)) + (
          SELECT COALESCE(sum(o.kilograms), 0) FROM stock_movement o
            LEFT JOIN late_posting p ON p.operation_id = o.operation_id AND p.subject_id = o.source_id
           WHERE m.kind <> 'reversal' AND o.operation_id = ${operationId} AND o.source_id = l.corrects_id
             AND o.hay_lot_id = c.hay_lot_id AND COALESCE(p.told_on, o.effective_on) <= c.happened_on
             AND ${notReversed('o', { id: 'source_id' })}) AS difference_kg
        FROM late_posting l
        JOIN stock_movement m ON m.operation_id = l.operation_id AND m.source_id = l.subject_id
        JOIN stock_count c ON c.operation_id = m.operation_id AND c.hay_lot_id = m.hay_lot_id AND c.id < m.id
         AND c.happened_on >= l.told_on AND c.happened_on < l.posted_on
       WHERE l.operation_id = ${operationId} AND l.subject_id = ANY (${recordIds}::uuid[]) AND ${which}
         AND ${notReversed('c')}
       ORDER BY m.source_id, m.hay_lot_id, c.counted_at DESC, c.id DESC) x
     WHERE difference_kg <> 0`.execute(db);
  return rows;
}

function passedCount(row: PassedRow, units: UnitSystem): HeldCount {
  const counted = formatMass(Mass.kilograms(row.counted_kg), units, 'large');
  const difference = formatMass(Mass.kilograms(row.difference_kg), units, 'large');
  return {
    stockCountId: row.count_id,
    countedOn: row.happened_on,
    counted,
    difference,
    message:
      `The lot was counted on ${row.happened_on}: ${counted.value} ${counted.unit}. This entry is of before that ` +
      `count, whose period is closed, so it is posted on ${row.posted_on} and moves the books away from what was ` +
      `counted: from then on the count differs from the books by ${difference.value} ${difference.unit}. ` +
      `Count the lot again, on ${row.posted_on} or later.`,
  };
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
