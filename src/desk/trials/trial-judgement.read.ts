import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { z } from 'zod';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { type PageAsked, readCursor } from '../../platform/http/cursor.js';
import { notFound } from '../../platform/http/problem.js';

export type JudgementRow = Selectable<DB['trial_judgement']>;
export type JudgementMoneyRow = Selectable<DB['trial_judgement_money']>;

const order = z.tuple([z.coerce.number().int().min(1)]);

/** Questions about the stored looks at a trial. */
@Injectable()
export class TrialJudgementRead {
  async one({ db, operationId }: OperationTenant, trialId: string, id: string): Promise<JudgementRow> {
    const row = await db
      .selectFrom('trial_judgement')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('trial_id', '=', trialId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('judgement');
    return row;
  }

  /** Newest first. */
  async page({ db, operationId }: OperationTenant, trialId: string, query: PageAsked): Promise<JudgementRow[]> {
    let select = db
      .selectFrom('trial_judgement')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('trial_id', '=', trialId)
      .orderBy('number', 'desc')
      .limit(query.limit + 1);
    if (query.cursor !== undefined) select = select.where('number', '<', readCursor(query.cursor, order)[0]);
    return select.execute();
  }

  /** All judgements of a trial, in the order in which they were made. */
  async ofTrial({ db, operationId }: OperationTenant, trialId: string): Promise<JudgementRow[]> {
    return db
      .selectFrom('trial_judgement')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('trial_id', '=', trialId)
      .orderBy('number')
      .execute();
  }

  /** The money of a judgement, if row-level security shows it. */
  async money({ db, operationId }: OperationTenant, id: string): Promise<JudgementMoneyRow | undefined> {
    return db
      .selectFrom('trial_judgement_money')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('trial_judgement_id', '=', id)
      .executeTakeFirst();
  }
}
