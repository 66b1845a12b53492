import { Injectable } from '@nestjs/common';
import { type NewRow, recordStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { YardageRateRow } from './yardage-rate.read.js';

@Injectable()
export class YardageRateStore {
  async insert(tenant: OperationTenant, rate: NewRow<'yardage_rate'>): Promise<YardageRateRow> {
    return tenant.db
      .insertInto('yardage_rate')
      .values({ ...rate, ...recordStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
  }
}
