import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf } from '../../platform/http/endpoint.js';
import type { WEBHOOK_HAPPENINGS } from '../../platform/wire/words.data.js';
import type { Counts, DeliveryRow, WebhookRow } from './webhook.read.js';
import type * as api from './webhook.schema.js';

export function webhookAnswer(
  row: WebhookRow,
  { counts, isAnswered, tenant }: { counts: Counts | undefined; isAnswered: boolean; tenant: OperationTenant },
): AnswerOf<typeof api.getWebhook> {
  const now = tenant.moment.toISOString();
  const ahead = (instant: string | null): string | null => (instant !== null && instant > now ? instant : null);
  return {
    id: row.id,
    label: row.label,
    url: tenant.may('own', tenant.operationId) ? row.url : masked(row.url),
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
    unsent: counts?.unsent ?? 0,
    version: row.version,
  };
}

/** The host of an address, and that there is more of it. */
function masked(url: string): string {
  const { origin, href } = new URL(url);
  return href === `${origin}/` ? href : `${origin}/…`;
}

/** @param webhook that it is for: whether it sends at present, until when it rests, and what time it is */
export function deliveryAnswer(
  row: DeliveryRow,
  webhook: { sends: boolean; restsUntil: string | null; now: string },
): AnswerOf<typeof api.testWebhook> {
  return {
    id: row.id,
    webhookId: row.webhook_id,
    messageId: row.message,
    type: row.kind,
    happenedAt: row.happened_at,
    state: row.state === 'dead' && row.attempts === 0 ? 'unsent' : row.state,
    attempts: row.attempts,
    nextTryAt: row.next_try_at === null || !webhook.sends ? null : latest(row.next_try_at, webhook),
    lastStatus: row.last_status,
    lastProblem: row.last_problem,
    createdAt: row.created_at,
    endedAt: row.ended_at,
  };
}

function latest(due: string, { restsUntil, now }: { restsUntil: string | null; now: string }): string {
  return [due, restsUntil ?? now, now].reduce((one, other) => (one > other ? one : other));
}
