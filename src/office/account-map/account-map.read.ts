import { Injectable } from '@nestjs/common';
import { ACCOUNT_ROLE_CODES } from '../../core/stock/accounts.data.js';
import { type AccountMap, STARTING_ACCOUNTS } from '../../core/stock/journal.js';
import type { OperationTenant } from '../../platform/database/types.js';

export interface VersionedAccounts {
  accounts: AccountMap;
  version: number;
}

@Injectable()
export class AccountMapRead {
  /** The operation's accounts; until it maps its own, the default ones as version 1. */
  async of({ db, operationId }: OperationTenant): Promise<VersionedAccounts> {
    const row = await db
      .selectFrom('account_map')
      .selectAll()
      .where('operation_id', '=', operationId)
      .executeTakeFirst();
    const own = (row?.accounts ?? {}) as Partial<AccountMap>;
    const accounts = Object.fromEntries(
      ACCOUNT_ROLE_CODES.map((role) => {
        const { number, name } = own[role] ?? STARTING_ACCOUNTS[role];
        return [role, { number, name }];
      }),
    ) as unknown as AccountMap;
    return { accounts, version: row?.version ?? 1 };
  }
}
