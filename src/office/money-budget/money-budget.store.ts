import { Injectable } from '@nestjs/common';
import { type NewRow, recordStamp } from '../../platform/database/rows.js';
import type { OperationTenant } from '../../platform/database/types.js';

@Injectable()
export class MoneyBudgetStore {
  async insert(tenant: OperationTenant, entry: NewRow<'budget_entry'>): Promise<string> {
    const row = { ...entry, ...recordStamp(tenant) };
    await tenant.db.insertInto('budget_entry').values(row).execute();
    return row.id;
  }
}
