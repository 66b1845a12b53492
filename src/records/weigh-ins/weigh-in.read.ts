import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { decimal } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import type { DB, OperationTenant } from '../../platform/database/types.js';

export type WeighInRow = Selectable<DB['weigh_in']>;

/** Mean weight after the shrink that the record says to apply. */
export function meanAfterShrink(row: Pick<WeighInRow, 'mean_kg' | 'shrink_pct'>): Mass {
  return Mass.kilograms(row.mean_kg).times(decimal('100').minus(row.shrink_pct ?? '0').div(100));
}

export interface HerdWeighIn {
  herdId: string;
  day: string;
  head: number;
  mean: Mass;
  fill: 'full' | 'shrunk';
}

@Injectable()
export class WeighInRead {
  /** Weigh-ins that stand, oldest first. */
  async of({ db, operationId }: OperationTenant, herdIds: readonly string[]): Promise<HerdWeighIn[]> {
    if (herdIds.length === 0) return [];
    const rows = await db.selectFrom('weigh_in')
      .leftJoin('reversal', (join) => join.onRef('reversal.operation_id', '=', 'weigh_in.operation_id').onRef('reversal.subject_id', '=', 'weigh_in.id'))
      .selectAll('weigh_in').where('weigh_in.operation_id', '=', operationId).where('weigh_in.herd_id', 'in', [...herdIds]).where('reversal.id', 'is', null)
      .orderBy('weigh_in.happened_on').orderBy('weigh_in.id').execute();
    return rows.map((row) => ({ herdId: row.herd_id, day: row.happened_on, head: row.head, mean: meanAfterShrink(row), fill: row.fill as 'full' }));
  }
}
