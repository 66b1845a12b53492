import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import type { WebhookServer } from '../../platform/database/types.js';
import { Jobs } from '../../platform/jobs/jobs.js';
import { DEAD_KEPT_DAYS, DELIVERED_KEPT_DAYS, WAITING_KEPT_DAYS } from './retry-plan.data.js';

const DAY_MS = 86_400_000;
/** What has been due for so long has lost its job, as where a process ended again and again. */
const LEFT_LYING_MS = 600_000;

@Injectable()
export class WebhookChoresStore {
  constructor(private readonly jobs: Jobs) {}

  /** Gives new jobs to what waits and has none. */
  async wakeWhatLies({ db, operationId, moment }: WebhookServer): Promise<void> {
    const rows = await db
      .selectFrom('webhook_delivery')
      .innerJoin('webhook', (join) =>
        join
          .onRef('webhook.operation_id', '=', 'webhook_delivery.operation_id')
          .onRef('webhook.id', '=', 'webhook_delivery.webhook_id'),
      )
      .select('webhook.id')
      .distinct()
      .where('webhook_delivery.operation_id', '=', operationId)
      .where('webhook_delivery.state', '=', 'waiting')
      .where('webhook_delivery.next_try_at', '<', before(moment, LEFT_LYING_MS))
      .where('webhook.state', '=', 'active')
      .execute();
    for (const { id } of rows) await this.jobs.add(db, 'webhook-deliveries', { operationId, webhookId: id });
  }

  /** Gives up what nobody is there to send, and forgets what has been kept long enough. */
  async prune({ db, operationId, moment }: WebhookServer): Promise<void> {
    await db
      .updateTable('webhook_delivery')
      .set({
        state: 'dead',
        next_try_at: null,
        ended_at: moment.toISOString(),
        last_problem: `Not sent within ${WAITING_KEPT_DAYS} days: the webhook was paused, or no owner answered for it.`,
      })
      .where('operation_id', '=', operationId)
      .where('state', '=', 'waiting')
      .where('created_at', '<', before(moment, WAITING_KEPT_DAYS * DAY_MS))
      .where('next_try_at', '<', before(moment, DAY_MS))
      .execute();
    const old = sql<boolean>`operation_id = ${operationId}::uuid AND (
      state = 'delivered' AND ended_at < ${before(moment, DELIVERED_KEPT_DAYS * DAY_MS)}::timestamptz
      OR state = 'dead' AND ended_at < ${before(moment, DEAD_KEPT_DAYS * DAY_MS)}::timestamptz)`;
    await db
      .deleteFrom('webhook_attempt')
      .where('operation_id', '=', operationId)
      .where('webhook_delivery_id', 'in', (e) => e.selectFrom('webhook_delivery').select('id').where(old))
      .execute();
    await db.deleteFrom('webhook_delivery').where(old).execute();
  }

  /** Has the hay judged where a day has begun since it last was. */
  async judgeHayOfDay({ db, operationId }: WebhookServer, today: string): Promise<void> {
    const row = await db
      .selectFrom('webhook')
      .select('id')
      .where('operation_id', '=', operationId)
      .where('state', '=', 'active')
      .where(sql<boolean>`'hay.low' = ANY (kinds)`)
      .where((e) => e.or([e('hay_judged_on', 'is', null), e('hay_judged_on', '<', today)]))
      .limit(1)
      .executeTakeFirst();
    if (row !== undefined)
      await this.jobs.add(
        db,
        'low-hay',
        { operationId },
        { oncePer: { key: `${operationId} ${today}`, seconds: 3000 } },
      );
  }

  /** Where the operation's days begin. */
  async timeZone({ db, operationId }: WebhookServer): Promise<string> {
    const row = await db.selectFrom('operation').select('time_zone').where('id', '=', operationId).executeTakeFirst();
    return row?.time_zone ?? 'UTC';
  }
}

function before(moment: Date, ms: number): string {
  return new Date(moment.getTime() - ms).toISOString();
}
