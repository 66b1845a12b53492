import { Injectable } from '@nestjs/common';
import { ACCOUNT_ROLE_CODES } from '../../core/stock/accounts.data.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../platform/http/problem.js';
import { AccountMapRead, type VersionedAccounts } from './account-map.read.js';
import type * as api from './account-map.schema.js';
import { AccountMapStore } from './account-map.store.js';

type Answer = AnswerOf<typeof api.getAccountMap>;

@Injectable()
export class AccountMapService {
  constructor(
    private readonly accounts: AccountMapRead,
    private readonly store: AccountMapStore,
  ) {}

  async get(tenant: OperationTenant): Promise<Answer> {
    return answerFrom(await this.accounts.of(tenant));
  }

  async change(
    tenant: OperationTenant,
    { body, expectedVersion }: InputOf<typeof api.changeAccountMap>,
  ): Promise<Answer> {
    const before = await this.accounts.of(tenant);
    if (before.version !== expectedVersion) throw new Problem('changed-meanwhile');
    body.accounts.forEach((one, index) => {
      if (body.accounts.findIndex((other) => other.role === one.role) !== index)
        throw ruleBroken(
          `#/accounts/${index}/role`,
          'role-twice',
          one.role,
          'each role once',
          `${one.role} is listed twice.`,
        );
    });
    const accounts = {
      ...before.accounts,
      ...Object.fromEntries(body.accounts.map(({ role, number, name }) => [role, { number, name }])),
    };
    const named = new Map<string, string>();
    for (const role of ACCOUNT_ROLE_CODES) {
      const { number, name } = accounts[role];
      const known = named.get(number);
      if (known !== undefined && known !== name)
        throw ruleBroken(
          '#/accounts',
          'account-two-names',
          number,
          `one name: ${known}`,
          `Account ${number} would have two names, ${known} and ${name}.`,
        );
      named.set(number, name);
    }
    await this.store.put(tenant, accounts, expectedVersion);
    const after = await this.accounts.of(tenant);
    await tenant.audit({
      action: 'account-map.change',
      subjectKind: 'account-map',
      subjectId: tenant.operationId,
      before: before.accounts,
      after: after.accounts,
    });
    return answerFrom(after);
  }
}

function answerFrom({ accounts, version }: VersionedAccounts): Answer {
  return { accounts: ACCOUNT_ROLE_CODES.map((role) => ({ role, ...accounts[role] })), version };
}
