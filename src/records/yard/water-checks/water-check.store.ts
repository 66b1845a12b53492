import { Injectable } from '@nestjs/common';
import { type NewRow, recordStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { WaterCheckRow } from './water-check.read.js';

@Injectable()
export class WaterCheckStore {
  async insert(tenant: OperationTenant, check: NewRow<'water_check'>): Promise<WaterCheckRow> {
    return tenant.db
      .insertInto('water_check')
      .values({ ...check, ...recordStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
  }
}
