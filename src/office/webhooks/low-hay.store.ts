import { Injectable } from '@nestjs/common';
import type { WebhookServer } from '../../platform/database/types.js';
import { newId } from '../../platform/identifiers.js';
import { Jobs } from '../../platform/jobs/jobs.js';
import type { AboutHay } from './message.js';

/** A webhook that asks to be told of low hay. */
export interface HayAsked {
  webhookId: string;
  answeredBy: string;
  lowHayDays: number;
}

@Injectable()
export class LowHayStore {
  constructor(private readonly jobs: Jobs) {}

  async asked({ db, operationId }: WebhookServer): Promise<HayAsked[]> {
    const rows = await db
      .selectFrom('webhook')
      .select(['id', 'answered_by', 'low_hay_days', 'kinds'])
      .where('operation_id', '=', operationId)
      .where('state', '=', 'active')
      .orderBy('id')
      .execute();
    return rows
      .filter((row) => row.kinds.includes('hay.low'))
      .map((row) => ({ webhookId: row.id, answeredBy: row.answered_by, lowHayDays: row.low_hay_days }));
  }

  async noteJudged({ db, operationId }: WebhookServer, webhookId: string, day: string): Promise<void> {
    await db
      .updateTable('webhook')
      .set({ hay_judged_on: day })
      .where('operation_id', '=', operationId)
      .where('id', '=', webhookId)
      .execute();
  }

  /** Tells it, unless it was told and the hay has not lasted since. Answers whether it did. */
  async hayIsLow(
    { db, operationId, moment }: WebhookServer,
    { webhookId, lowHayDays }: HayAsked,
    about: AboutHay,
  ): Promise<boolean> {
    const at = moment.toISOString();
    // Of two processes that judge at once, one finds it told.
    const told = await db
      .updateTable('webhook')
      .set({ low_hay_since: at })
      .where('operation_id', '=', operationId)
      .where('id', '=', webhookId)
      .where('state', '=', 'active')
      .where('low_hay_days', '=', lowHayDays)
      .where('low_hay_since', 'is', null)
      .executeTakeFirst();
    if (told.numUpdatedRows === 0n) return false;
    await db
      .insertInto('webhook_delivery')
      .values({
        operation_id: operationId,
        id: newId(),
        webhook_id: webhookId,
        message: newId(),
        kind: 'hay.low',
        happened_at: at,
        about: JSON.stringify(about),
        state: 'waiting',
        created_at: at,
        next_try_at: at,
      })
      .execute();
    await this.jobs.add(db, 'webhook-deliveries', { operationId, webhookId });
    return true;
  }

  /** From now on it is told again if it runs low. */
  async hayLasts({ db, operationId }: WebhookServer, webhookId: string): Promise<void> {
    await db
      .updateTable('webhook')
      .set({ low_hay_since: null })
      .where('operation_id', '=', operationId)
      .where('id', '=', webhookId)
      .where('low_hay_since', 'is not', null)
      .execute();
  }
}
