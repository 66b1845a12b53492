import { Injectable } from '@nestjs/common';
import { type NewRow, recordStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { LateCostRow } from './late-cost.read.js';

@Injectable()
export class LateCostStore {
  async insert(tenant: OperationTenant, bill: NewRow<'late_cost'>): Promise<LateCostRow> {
    return tenant.db
      .insertInto('late_cost')
      .values({ ...bill, ...recordStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
  }
}
