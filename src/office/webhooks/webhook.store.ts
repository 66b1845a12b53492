import { Injectable } from '@nestjs/common';
import { type ChangedRow, type NewRow, thingStamp } from '../../platform/database/rows.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { Problem } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import { Jobs } from '../../platform/jobs/jobs.js';
import type { DeliveryRow, WebhookRow } from './webhook.read.js';

export const ENDED = 'The webhook has ended.';

@Injectable()
export class WebhookStore {
  constructor(private readonly jobs: Jobs) {}

  async insert(
    tenant: OperationTenant,
    id: string,
    webhook: Omit<NewRow<'webhook'>, 'answered_by' | 'state' | 'secret_made_at'>,
  ): Promise<WebhookRow> {
    return tenant.db
      .insertInto('webhook')
      .values({
        ...webhook,
        ...thingStamp(tenant, id),
        state: 'active',
        answered_by: tenant.personId,
        secret_made_at: tenant.moment.toISOString(),
      })
      .returningAll()
      .executeTakeFirstOrThrow();
  }

  /** @throws Problem changed-meanwhile where somebody else changed it first. */
  async change(
    { db, operationId }: OperationTenant,
    { id, version }: Pick<WebhookRow, 'id' | 'version'>,
    changed: ChangedRow<'webhook'>,
  ): Promise<WebhookRow> {
    const row = await db
      .updateTable('webhook')
      .set((e) => ({ ...changed, version: e('version', '+', 1) }))
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .where('version', '=', version)
      .returningAll()
      .executeTakeFirst();
    if (row === undefined) throw new Problem('changed-meanwhile');
    return row;
  }

  /** What waits for a webhook that has ended is given up. */
  async giveUpWaiting({ db, operationId, moment }: OperationTenant, webhookId: string): Promise<void> {
    await db
      .updateTable('webhook_delivery')
      .set({ state: 'dead', next_try_at: null, last_problem: ENDED, ended_at: moment.toISOString() })
      .where('operation_id', '=', operationId)
      .where('webhook_id', '=', webhookId)
      .where('state', '=', 'waiting')
      .execute();
  }

  /** A message by which somebody tries it. */
  async addTest({ db, operationId, moment }: OperationTenant, webhookId: string): Promise<DeliveryRow> {
    const at = moment.toISOString();
    const row = await db
      .insertInto('webhook_delivery')
      .values({
        operation_id: operationId,
        id: newId(),
        webhook_id: webhookId,
        message: newId(),
        kind: 'webhook.tested',
        happened_at: at,
        about: JSON.stringify({}),
        state: 'waiting',
        created_at: at,
        next_try_at: at,
      })
      .returningAll()
      .executeTakeFirstOrThrow();
    await this.wake({ db, operationId }, webhookId);
    return row;
  }

  /** Under the same name, with all its attempts before it anew. */
  async sendAgain({ db, operationId, moment }: OperationTenant, delivery: DeliveryRow): Promise<DeliveryRow> {
    const row = await db
      .updateTable('webhook_delivery')
      .set({ state: 'waiting', tries: 0, next_try_at: moment.toISOString(), ended_at: null })
      .where('operation_id', '=', operationId)
      .where('id', '=', delivery.id)
      .returningAll()
      .executeTakeFirstOrThrow();
    await this.wake({ db, operationId }, delivery.webhook_id);
    return row;
  }

  /** Has what waits for it sent, as soon as this transaction commits. */
  async wake({ db, operationId }: Pick<OperationTenant, 'db' | 'operationId'>, webhookId: string): Promise<void> {
    await this.jobs.add(db, 'webhook-deliveries', { operationId, webhookId });
  }
}
