import { Injectable } from '@nestjs/common';
import { type NewRow, recordStamp } from '../../../platform/database/rows.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { HerdCostMoneyRow, HerdCostRow } from './herd-cost.read.js';

@Injectable()
export class HerdCostStore {
  /** A cost and its money, which is not read back: whoever enters it need not see prices. */
  async insert(
    tenant: OperationTenant,
    cost: NewRow<'herd_cost'>,
    money: Omit<HerdCostMoneyRow, 'operation_id' | 'herd_cost_id'>,
  ): Promise<{ row: HerdCostRow; money: HerdCostMoneyRow }> {
    const row = await tenant.db
      .insertInto('herd_cost')
      .values({ ...cost, ...recordStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
    const moneyRow = { ...money, operation_id: row.operation_id, herd_cost_id: row.id };
    await tenant.db.insertInto('herd_cost_money').values(moneyRow).execute();
    return { row, money: moneyRow };
  }
}
