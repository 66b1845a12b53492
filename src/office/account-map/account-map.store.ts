import { Injectable } from '@nestjs/common';
import type { AccountMap } from '../../core/stock/journal.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { Problem } from '../../platform/http/problem.js';

@Injectable()
export class AccountMapStore {
  /**
   * The first map of an operation, or the next version of the one it has. @throws Problem changed-meanwhile where
   * somebody else changed it first.
   */
  async put(
    { db, operationId, moment }: OperationTenant,
    accounts: AccountMap,
    expectedVersion: number,
  ): Promise<void> {
    const json = JSON.stringify(accounts);
    // The second of two writers finds the row already there, or its version gone.
    const first = await db
      .insertInto('account_map')
      .values({ operation_id: operationId, accounts: json, version: 2, changed_at: moment.toISOString() })
      .onConflict((conflict) => conflict.doNothing())
      .executeTakeFirst();
    if (first.numInsertedOrUpdatedRows !== 0n) return;
    const changed = await db
      .updateTable('account_map')
      .set((e) => ({ accounts: json, version: e('version', '+', 1), changed_at: moment.toISOString() }))
      .where('operation_id', '=', operationId)
      .where('version', '=', expectedVersion)
      .executeTakeFirst();
    if (changed.numUpdatedRows === 0n) throw new Problem('changed-meanwhile');
  }
}
