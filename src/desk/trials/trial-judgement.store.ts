import { Injectable } from '@nestjs/common';
import { type NewRow, recordStamp } from '../../platform/database/rows.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { JudgementMoneyRow, JudgementRow } from './trial-judgement.read.js';

@Injectable()
export class TrialJudgementStore {
  async insert(tenant: OperationTenant, judgement: NewRow<'trial_judgement'>): Promise<JudgementRow> {
    return tenant.db
      .insertInto('trial_judgement')
      .values({ ...judgement, ...recordStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
  }

  /** The money of a judgement, stored where the policies hide prices. */
  async insertMoney(
    { db, operationId }: OperationTenant,
    judgementId: string,
    money: Omit<JudgementMoneyRow, 'operation_id' | 'trial_judgement_id'>,
  ): Promise<void> {
    await db
      .insertInto('trial_judgement_money')
      .values({ ...money, operation_id: operationId, trial_judgement_id: judgementId })
      .execute();
  }
}
