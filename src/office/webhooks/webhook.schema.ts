import { z } from 'zod';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { id, instantOut, name, operationParams, version } from '../../platform/wire/common.schema.js';
import {
  DELIVERY_STATES,
  WEBHOOK_ENDS,
  WEBHOOK_HAPPENINGS,
  WEBHOOK_KINDS,
  WEBHOOK_STATES,
} from '../../platform/wire/words.data.js';
import { DEAD_KEPT_DAYS, DELIVERED_KEPT_DAYS, TRIES_MOST, WAITING_KEPT_DAYS } from './retry-plan.data.js';
import './message.schema.js';

export const WEBHOOKS_MOST = 5;
const LOW_HAY_DAYS = 30;
const LOW_HAY_DAYS_MOST = 180;
const SHOWN_STATES = [...DELIVERY_STATES, 'unsent'] as const;
export type ShownState = (typeof SHOWN_STATES)[number];
const tag = 'Webhooks';

const happenings = z
  .array(z.enum(WEBHOOK_HAPPENINGS))
  .min(1)
  .max(WEBHOOK_HAPPENINGS.length)
  .describe(
    'What it is told: closings, closed periods that are opened again, entries that are reversed or corrected, late ' +
      'bills, hay that no longer lasts',
  );
const url = z
  .string()
  .max(2000)
  .describe('Where messages are sent: https, port 443 or 8443, a host that everybody can reach');
const lowHayDays = z
  .number()
  .int()
  .min(1)
  .max(LOW_HAY_DAYS_MOST)
  .describe('Days that the hay is to last: with less by the hay budget, hay.low is told, once until it lasts again');

const webhook = z
  .object({
    id,
    label: name,
    url: z
      .string()
      .describe(
        'Where messages are sent; to who may not manage webhooks its host, and /… for the rest, which may hold ' +
          'a token',
      ),
    happenings,
    lowHayDays,
    state: z
      .enum([...WEBHOOK_STATES, 'waits-for-owner'])
      .describe(
        'paused: what happens waits. waits-for-owner: the owner who answers for it is one no more, so it is told ' +
          'nothing until another rotates its secret',
      ),
    endedBecause: z
      .enum(WEBHOOK_ENDS)
      .describe('by-owner, or receiver-gone: the receiver answered 410; null while it has not ended')
      .nullable(),
    answeredBy: id.describe('The owner who made it, or rotated its secret last'),
    createdAt: instantOut,
    secretMadeAt: instantOut,
    olderSecretUntil: instantOut.describe('Until then the secret before signs too').nullable(),
    lastDeliveredAt: instantOut.nullable(),
    failingSince: instantOut.describe('Since when every attempt has failed; null if the last one arrived').nullable(),
    restsUntil: instantOut
      .describe('Until then nothing is sent: it failed several times in a row, or asked to be left alone')
      .nullable(),
    waiting: z.number().int().describe('Messages that wait to be sent'),
    dead: z.number().int().describe('Messages that were given up after they had been sent in vain'),
    unsent: z.number().int().describe('Messages that were given up before they were ever sent'),
    version,
  })
  .meta({ id: 'Webhook', description: 'An address outside that is told of what happens in an operation' });

const secret = z
  .string()
  .describe('What messages are signed with (Standard Webhooks): whsec_ and base64; null in a repeated answer')
  .nullable();
const newWebhook = webhook
  .extend({ secret })
  .meta({ id: 'NewWebhook', description: 'A webhook with its new secret, which is shown once' });

const delivery = z
  .object({
    id,
    webhookId: id,
    messageId: id.describe('As in the header webhook-id'),
    type: z.enum(WEBHOOK_KINDS).describe('What happened'),
    happenedAt: instantOut,
    state: z
      .enum(SHOWN_STATES)
      .describe(
        'waiting: to be sent. delivered: answered 2xx. dead: sent in vain and given up. unsent: given up before it ' +
          'was ever sent, since the webhook ended or rested too long. Both can be sent again while the webhook stands',
      ),
    attempts: z.number().int().describe('How often it was sent'),
    nextTryAt: instantOut
      .describe(
        'When it is tried next at the earliest: now where it is due; null if it does not wait, or waits for a ' +
          'webhook that is paused or that no owner answers for',
      )
      .nullable(),
    lastStatus: z.number().int().describe('HTTP status of the last answer; null if there was none').nullable(),
    lastProblem: z.string().describe('What went wrong last; null if nothing did').nullable(),
    createdAt: instantOut,
    endedAt: instantOut.describe('When it arrived or was given up').nullable(),
  })
  .meta({ id: 'WebhookDelivery', description: 'A message for a webhook, and what became of it' });
const attempt = z.object({
  number: z.number().int().describe('The first is 1'),
  at: instantOut,
  tookMs: z.number().int().describe('Milliseconds until the answer; null if nobody noted it').nullable(),
  status: z.number().int().describe('HTTP status of the answer; null if there was none').nullable(),
  problem: z.string().describe('What went wrong; null if an answer came').nullable(),
  answer: z.string().describe('The beginning of the answer, as plain text').nullable(),
});
const deliveryWithAttempts = delivery
  .extend({
    message: z.string().describe('The JSON text that is sent'),
    tries: z.array(attempt).describe('Each attempt, the first one first'),
  })
  .meta({ id: 'WebhookDeliveryWithAttempts', description: 'A message for a webhook, with each attempt' });

const params = operationParams.extend({ webhookId: id });
const deliveryParams = params.extend({ deliveryId: id });
const at = '/v1/operations/:operationId/webhooks';

const ONCE =
  'The secret is given in this one answer and nowhere else: a repeat with the same Idempotency-Key answers with ' +
  '`secret` null. ';
export const createWebhook = endpoint({
  method: 'POST',
  path: at,
  operationId: 'createWebhook',
  tag,
  access: 'own',
  secondLook: true,
  summary: 'Have an address told of what happens',
  description:
    `${ONCE}Messages are signed by Standard Webhooks 1.0.0 (webhook-id, webhook-timestamp, webhook-signature), say ` +
    'which records they are about and no amounts, and come at least once, in any order: the receiver knows a message ' +
    'by its webhook-id and pulls /changes with its `since`. It answers 2xx within 15 seconds; else the message is ' +
    `sent again, ${TRIES_MOST} times over about a day, later where Retry-After asks for it; 410 ends the webhook. ` +
    `Redirects are not followed. An operation has at most ${WEBHOOKS_MOST}.`,
  params: operationParams,
  body: z.strictObject({ label: name, url, happenings, lowHayDays: lowHayDays.default(LOW_HAY_DAYS) }),
  answer: newWebhook,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/webhooks/${created.id}`,
  versioned: true,
  keptForRepeats: (answer) => ({ ...answer, secret: null }),
});
export const listWebhooks = endpoint({
  method: 'GET',
  path: at,
  operationId: 'listWebhooks',
  tag,
  access: 'office',
  summary: 'Webhooks, ended ones too',
  params: operationParams,
  query: z.strictObject(pageQuery),
  answer: pageAnswer(webhook),
  paged: true,
});
export const getWebhook = endpoint({
  method: 'GET',
  path: `${at}/:webhookId`,
  operationId: 'getWebhook',
  tag,
  access: 'office',
  summary: 'One webhook',
  params,
  answer: webhook,
  versioned: true,
});
export const changeWebhook = endpoint({
  method: 'PATCH',
  path: `${at}/:webhookId`,
  operationId: 'changeWebhook',
  tag,
  access: 'own',
  secondLook: true,
  summary: 'Change a webhook, pause it or let it go on',
  description: `What happens while it is paused waits, for ${WAITING_KEPT_DAYS} days at most.`,
  params,
  body: z
    .strictObject({
      label: name,
      url,
      happenings,
      lowHayDays,
      paused: z.boolean().describe('True: nothing is sent until it is false again'),
    })
    .partial(),
  answer: webhook,
  changes: true,
  versioned: true,
});
export const rotateWebhookSecret = endpoint({
  method: 'POST',
  path: `${at}/:webhookId/rotation`,
  operationId: 'rotateWebhookSecret',
  tag,
  access: 'own',
  secondLook: true,
  summary: 'Give a webhook a new secret',
  description:
    `${ONCE}Until the overlap is over every message carries two signatures, one by each secret. Whoever rotates it ` +
    'answers for it from then on; where that was somebody else, the older secret ends at once unless overlapHours ' +
    'says otherwise.',
  params,
  body: z.strictObject({
    overlapHours: z
      .number()
      .int()
      .min(0)
      .max(168)
      .optional()
      .describe('Hours for which the older secret signs too; 24 if left out, 0 where another owner answered for it'),
  }),
  answer: newWebhook,
  onlyOnce: true,
  versioned: true,
  keptForRepeats: (answer) => ({ ...answer, secret: null }),
});
export const endWebhook = endpoint({
  method: 'DELETE',
  path: `${at}/:webhookId`,
  operationId: 'endWebhook',
  tag,
  access: 'own',
  secondLook: true,
  summary: 'End a webhook at once',
  description: 'Its secrets are forgotten, and what waits for it is given up.',
  params,
  status: 204,
  changes: true,
});
export const testWebhook = endpoint({
  method: 'POST',
  path: `${at}/:webhookId/tests`,
  operationId: 'testWebhook',
  tag,
  access: 'office',
  summary: 'Send a message to try it',
  description: 'One at a time, and at most 20 in an hour. Its delivery says what came of it.',
  params,
  answer: delivery,
  creates: (made, { operationId }) => `/v1/operations/${operationId}/webhooks/${made.webhookId}/deliveries/${made.id}`,
  problems: ['too-many-attempts'],
});
export const listWebhookDeliveries = endpoint({
  method: 'GET',
  path: `${at}/:webhookId/deliveries`,
  operationId: 'listWebhookDeliveries',
  tag,
  access: 'office',
  summary: 'Messages of a webhook, the newest first',
  description:
    'With state=dead, or unsent, those that were given up. ' +
    `What was delivered is kept for ${DELIVERED_KEPT_DAYS} days, what was given up for ${DEAD_KEPT_DAYS}.`,
  params,
  query: z.strictObject({
    ...pageQuery,
    state: z.enum(SHOWN_STATES).optional().describe('Only messages in this state'),
  }),
  answer: pageAnswer(delivery),
  paged: true,
});
export const getWebhookDelivery = endpoint({
  method: 'GET',
  path: `${at}/:webhookId/deliveries/:deliveryId`,
  operationId: 'getWebhookDelivery',
  tag,
  access: 'office',
  summary: 'One message of a webhook, with each attempt',
  params: deliveryParams,
  answer: deliveryWithAttempts,
});
export const sendWebhookAgain = endpoint({
  method: 'POST',
  path: `${at}/:webhookId/deliveries/:deliveryId/resending`,
  operationId: 'sendWebhookAgain',
  tag,
  access: 'office',
  summary: 'Send a message again',
  description: 'With the same webhook-id, and all its attempts anew. One that waits is sent anyway.',
  params: deliveryParams,
  answer: delivery,
  onlyOnce: true,
});
