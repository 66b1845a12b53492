import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf } from '../../platform/http/endpoint.js';
import type { WEBHOOK_HAPPENINGS } from '../../platform/wire/words.data.js';
import type { Counts, DeliveryRow, WebhookRow } from './webhook.read.js';
import type * as api from './webhook.schema.js';

export function webhookAnswer(
  row: WebhookRow,
  {
    counts,
    isAnswered,
    tenant,
  }: { counts: Counts | undefined; isAnswered: boolean; tenant: Pick<OperationTenant, 'moment'> },
): AnswerOf<typeof api.getWebhook> {
  const now = tenant.moment.toISOString();
  const ahead = (instant: string | null): string | null => (instant !== null && instant > now ? instant : null);
  return {
    id: row.id,
    label: row.label,
    url: row.url,
    happenings: row.kinds as (typeof WEBHOOK_HAPPENINGS)[number][],
    lowHayDays: row.low_hay_days,
    state: row.state !== 'ended' && !isAnswered ? 'waits-for-owner' : row.state,
    endedBecause: row.ended_because,
    answeredBy: row.answered_by,
    createdAt: row.created_at,
    secretMadeAt: row.secret_made_at,
    olderSecretUntil: ahead(row.old_secret_until),
    lastDeliveredAt: row.last_delivered_at,
    failingSince: row.failing_since,
    restsUntil: ahead(row.rest_until),
    waiting: counts?.waiting ?? 0,
    dead: counts?.dead ?? 0,
    version: row.version,
  };
}

export function deliveryAnswer(row: DeliveryRow): AnswerOf<typeof api.testWebhook> {
  return {
    id: row.id,
    webhookId: row.webhook_id,
    messageId: row.message,
    type: row.kind,
    happenedAt: row.happened_at,
    state: row.state,
    attempts: row.attempts,
    nextTryAt: row.next_try_at,
    lastStatus: row.last_status,
    lastProblem: row.last_problem,
    createdAt: row.created_at,
    endedAt: row.ended_at,
  };
}
