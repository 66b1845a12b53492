import { Injectable } from '@nestjs/common';
import { type NewRow, recordStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { YardageRateRow } from './yardage-rate.read.js';

@Injectable()
export class YardageRateStore {
  async insert(tenant: OperationTenant, rate: NewRow<'yardage_rate'>): Promise<YardageRateRow> {
    const row = { ...rate, ...recordStamp(tenant) };
    // Not read back: whoever enters a rate need not see prices.
    await tenant.db.insertInto('yardage_rate').values(row).execute();
    return { ...row, herd_id: rate.herd_id ?? null, amount: String(rate.amount) };
  }
}
