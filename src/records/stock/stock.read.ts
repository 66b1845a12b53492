import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import { Mass } from '../../core/units/mass.js';
import type { OperationTenant } from '../../platform/database/types.js';

export interface LotBalance {
  lotId: string;
  balance: Mass;
}

/** Questions about what is in the yard. */
@Injectable()
export class StockRead {
  /** The balance of each lot at the end of a day, or at an instant. */
  async balances({ db, operationId }: OperationTenant, at: { lotIds?: readonly string[]; untilDay?: string; untilInstant?: string } = {}): Promise<Map<string, Mass>> {
    let select = db.selectFrom('stock_movement').select(['hay_lot_id', (e) => sql<string>`${e.fn.sum('kilograms')}`.as('kilograms')]).where('operation_id', '=', operationId).groupBy('hay_lot_id');
    if (at.lotIds !== undefined) {
      if (at.lotIds.length === 0) return new Map();
      select = select.where('hay_lot_id', 'in', [...at.lotIds]);
    }
    if (at.untilDay !== undefined) select = select.where('effective_on', '<=', at.untilDay);
    if (at.untilInstant !== undefined) select = select.where('effective_at', '<=', at.untilInstant);
    return new Map((await select.execute()).map((row) => [row.hay_lot_id, Mass.kilograms(row.kilograms)]));
  }

  /** Mean weight of a bale of each lot: what came in by count and weight, over the bales. */
  async baleWeights({ db, operationId }: OperationTenant, lotIds: readonly string[]): Promise<Map<string, Mass>> {
    if (lotIds.length === 0) return new Map();
    const rows = await db.selectFrom('hay_purchase')
      .leftJoin('reversal', (join) => join.onRef('reversal.operation_id', '=', 'hay_purchase.operation_id').onRef('reversal.subject_id', '=', 'hay_purchase.id'))
      .select(['hay_purchase.hay_lot_id', sql<string>`sum(hay_purchase.weight_kg)`.as('kilograms'), sql<string>`sum(hay_purchase.bale_count)`.as('bales')])
      .where('hay_purchase.operation_id', '=', operationId).where('hay_purchase.hay_lot_id', 'in', [...lotIds])
      .where('hay_purchase.bale_count', 'is not', null).where('reversal.id', 'is', null).groupBy('hay_purchase.hay_lot_id').execute();
    return new Map(rows.map((row) => [row.hay_lot_id, Mass.kilograms(row.kilograms).dividedBy(row.bales)]));
  }
}
