import { Injectable } from '@nestjs/common';
import { type NewRow, recordStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { HarvestCostRow, HarvestRow } from './harvest.read.js';

@Injectable()
export class HarvestStore {
  /** A harvest, and what it cost to make. */
  async insert(
    tenant: OperationTenant,
    harvest: NewRow<'harvest'>,
    cost: Omit<HarvestCostRow, 'operation_id' | 'harvest_id'>,
  ): Promise<{ row: HarvestRow; cost: HarvestCostRow }> {
    const row = await tenant.db
      .insertInto('harvest')
      .values({ ...harvest, ...recordStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
    const costRow = { ...cost, operation_id: row.operation_id, harvest_id: row.id };
    await tenant.db.insertInto('harvest_cost').values(costRow).execute();
    return { row, cost: costRow };
  }
}
