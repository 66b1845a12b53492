import { Injectable } from '@nestjs/common';
import type { OperationTenant } from '../../platform/database/types.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import { Outgoing } from '../../platform/outgoing/outgoing.js';
import { SecretBox } from '../../platform/secrets/secret-box.js';
import { deliveryAnswer, webhookAnswer } from './webhook-answer.js';
import { messageText } from './message.js';
import { newSigningSecret } from './signature.js';
import { type DeliveryRow, type WebhookRow, WebhookRead } from './webhook.read.js';
import type * as api from './webhook.schema.js';
import { WEBHOOKS_MOST } from './webhook.schema.js';
import { ENDED, WebhookStore } from './webhook.store.js';

type Answer = AnswerOf<typeof api.getWebhook>;
type Delivery = AnswerOf<typeof api.testWebhook>;

const HOUR_MS = 3_600_000;
const OVERLAP_HOURS = 24;
const TESTS_AN_HOUR = 20;

@Injectable()
export class WebhookService {
  constructor(
    private readonly webhooks: WebhookRead,
    private readonly store: WebhookStore,
    private readonly outgoing: Outgoing,
    private readonly secrets: SecretBox,
  ) {}

  async create(
    tenant: OperationTenant,
    { body }: InputOf<typeof api.createWebhook>,
  ): Promise<AnswerOf<typeof api.createWebhook>> {
    const url = this.#receiver(body.url);
    if ((await this.webhooks.standing(tenant)) >= WEBHOOKS_MOST)
      throw new Problem('conflict', `An operation has at most ${WEBHOOKS_MOST} webhooks: end one first.`);
    const id = newId();
    const secret = newSigningSecret();
    const kinds = [...new Set(body.happenings)];
    const row = await this.store.insert(tenant, id, {
      label: body.label,
      url: url.href,
      kinds,
      low_hay_days: body.lowHayDays,
      secret: this.secrets.seal(secret, id),
    });
    await tenant.audit({
      action: 'webhook.create',
      subjectKind: 'webhook',
      subjectId: id,
      after: told(row),
    });
    return { ...(await this.#answer(tenant, row)), secret };
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listWebhooks>,
  ): Promise<AnswerOf<typeof api.listWebhooks>> {
    const rows = await this.webhooks.page(tenant, query);
    return pageOf(rows, query.limit, await this.#writer(tenant, rows), (row) => [row.id]);
  }

  async get(tenant: OperationTenant, { params }: InputOf<typeof api.getWebhook>): Promise<Answer> {
    return this.#answer(tenant, await this.webhooks.one(tenant, params.webhookId));
  }

  async change(
    tenant: OperationTenant,
    { params, body, expectedVersion }: InputOf<typeof api.changeWebhook>,
  ): Promise<Answer> {
    const url = body.url === undefined ? undefined : this.#receiver(body.url);
    const before = await this.#standing(tenant, params.webhookId);
    const row = await this.store.change(
      tenant,
      { id: before.id, version: expectedVersion },
      {
        ...(body.label === undefined ? {} : { label: body.label }),
        // Whatever the other address did, this one has not failed yet.
        ...(url === undefined ? {} : { url: url.href, failures_in_row: 0, failing_since: null, rest_until: null }),
        ...(body.happenings === undefined ? {} : { kinds: [...new Set(body.happenings)] }),
        ...(body.lowHayDays === undefined ? {} : { low_hay_days: body.lowHayDays, low_hay_since: null }),
        ...(body.paused === undefined ? {} : { state: body.paused ? 'paused' : 'active' }),
      },
    );
    await this.store.wake(tenant, row.id);
    await tenant.audit({
      action: 'webhook.change',
      subjectKind: 'webhook',
      subjectId: row.id,
      before: told(before),
      after: told(row),
    });
    return this.#answer(tenant, row);
  }

  async rotate(
    tenant: OperationTenant,
    { params, body }: InputOf<typeof api.rotateWebhookSecret>,
  ): Promise<AnswerOf<typeof api.rotateWebhookSecret>> {
    const before = await this.#standing(tenant, params.webhookId);
    const secret = newSigningSecret();
    const { moment, personId } = tenant;
    const hours = body.overlapHours ?? (before.answered_by === personId ? OVERLAP_HOURS : 0);
    const overlap =
      hours === 0
        ? { old_secret: null, old_secret_until: null }
        : { old_secret: before.secret, old_secret_until: new Date(moment.getTime() + hours * HOUR_MS).toISOString() };
    const row = await this.store.change(tenant, before, {
      secret: this.secrets.seal(secret, before.id),
      secret_made_at: moment.toISOString(),
      answered_by: personId,
      ...overlap,
    });
    await this.store.wake(tenant, row.id);
    await tenant.audit({
      action: 'webhook.rotate',
      subjectKind: 'webhook',
      subjectId: row.id,
      before: { answeredBy: before.answered_by },
      after: { answeredBy: personId, olderSecretUntil: row.old_secret_until },
    });
    return { ...(await this.#answer(tenant, row)), secret };
  }

  async end(tenant: OperationTenant, { params, expectedVersion }: InputOf<typeof api.endWebhook>): Promise<void> {
    const { id } = await this.#standing(tenant, params.webhookId);
    const forgotten = { secret: null, old_secret: null, old_secret_until: null };
    const ended = { state: 'ended', ended_because: 'by-owner', ...forgotten } as const;
    await this.store.change(tenant, { id, version: expectedVersion }, ended);
    await this.store.giveUpWaiting(tenant, id);
    await tenant.audit({
      action: 'webhook.end',
      subjectKind: 'webhook',
      subjectId: id,
      after: { because: 'by-owner' },
    });
  }

  async test(
    tenant: OperationTenant,
    { params }: InputOf<typeof api.testWebhook>,
  ): Promise<AnswerOf<typeof api.testWebhook>> {
    const webhook = await this.#answering(tenant, params.webhookId);
    const hourAgo = new Date(tenant.moment.getTime() - HOUR_MS);
    if ((await this.webhooks.testsSince(tenant, webhook.id, hourAgo)) >= TESTS_AN_HOUR)
      throw new Problem('too-many-attempts', `A webhook is tried at most ${TESTS_AN_HOUR} times an hour.`, [], {
        'Retry-After': '3600',
      });
    if (await this.webhooks.testWaits(tenant, webhook.id))
      throw new Problem('conflict', 'A message to try it is still on its way.');
    const row = await this.store.addTest(tenant, webhook.id);
    await tenant.audit({ action: 'webhook.test', subjectKind: 'webhook', subjectId: webhook.id });
    return (await this.#deliveryWriter(tenant, webhook))(row);
  }

  async deliveries(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.listWebhookDeliveries>,
  ): Promise<AnswerOf<typeof api.listWebhookDeliveries>> {
    const webhook = await this.webhooks.one(tenant, params.webhookId);
    const rows = await this.webhooks.deliveries(tenant, webhook.id, query);
    return pageOf(rows, query.limit, await this.#deliveryWriter(tenant, webhook), (row) => [row.created_at, row.id]);
  }

  async delivery(
    tenant: OperationTenant,
    { params }: InputOf<typeof api.getWebhookDelivery>,
  ): Promise<AnswerOf<typeof api.getWebhookDelivery>> {
    const webhook = await this.webhooks.one(tenant, params.webhookId);
    const row = await this.webhooks.delivery(tenant, params.webhookId, params.deliveryId);
    const attempts = await this.webhooks.attempts(tenant, row.id);
    return {
      ...(await this.#deliveryWriter(tenant, webhook))(row),
      message: messageText(row),
      tries: attempts.map(({ number, began_at: at, took_ms: tookMs, status, problem, answer }) => ({
        number,
        at,
        tookMs,
        status,
        problem,
        answer,
      })),
    };
  }

  async sendAgain(
    tenant: OperationTenant,
    { params }: InputOf<typeof api.sendWebhookAgain>,
  ): Promise<AnswerOf<typeof api.sendWebhookAgain>> {
    const webhook = await this.#answering(tenant, params.webhookId);
    const delivery = await this.webhooks.delivery(tenant, params.webhookId, params.deliveryId, { lock: true });
    if (delivery.state === 'waiting') throw new Problem('conflict', 'It waits to be sent already.');
    const row = await this.store.sendAgain(tenant, delivery);
    await tenant.audit({
      action: 'webhook.send-again',
      subjectKind: 'webhook',
      subjectId: delivery.webhook_id,
      after: { messageId: delivery.message },
    });
    return (await this.#deliveryWriter(tenant, webhook))(row);
  }

  /** @throws Problem rule-broken where nothing may be sent there. */
  #receiver(given: string): URL {
    const read = this.outgoing.receiver(given);
    if (read instanceof URL) return read;
    throw ruleBroken('#/url', read.code, given, read.allowed, read.message);
  }

  /** One that has not ended, for this transaction alone to change. @throws Problem conflict */
  async #standing(tenant: OperationTenant, id: string): Promise<WebhookRow> {
    const row = await this.webhooks.one(tenant, id, { lock: true });
    if (row.state === 'ended') throw new Problem('conflict', ENDED);
    return row;
  }

  /** One that sends at present. @throws Problem conflict */
  async #answering(tenant: OperationTenant, id: string): Promise<WebhookRow> {
    const row = await this.webhooks.one(tenant, id);
    const { state } = await this.#answer(tenant, row);
    if (state === 'active') return row;
    throw new Problem(
      'conflict',
      {
        paused: 'The webhook is paused.',
        ended: ENDED,
        'waits-for-owner': 'No owner answers for it: rotate its secret.',
      }[state],
    );
  }

  async #deliveryWriter(tenant: OperationTenant, webhook: WebhookRow): Promise<(row: DeliveryRow) => Delivery> {
    const { state, restsUntil } = await this.#answer(tenant, webhook);
    const now = tenant.moment.toISOString();
    return (row) => deliveryAnswer(row, { sends: state === 'active', restsUntil, now });
  }

  async #answer(tenant: OperationTenant, row: WebhookRow): Promise<Answer> {
    return (await this.#writer(tenant, [row]))(row);
  }

  async #writer(tenant: OperationTenant, rows: readonly WebhookRow[]): Promise<(row: WebhookRow) => Answer> {
    const counts = await this.webhooks.counts(
      tenant,
      rows.map((row) => row.id),
    );
    const owners = await this.webhooks.owners(
      tenant,
      rows.map((row) => row.answered_by),
    );
    return (row) => webhookAnswer(row, { counts: counts.get(row.id), isAnswered: owners.has(row.answered_by), tenant });
  }
}

/** What the audit keeps: of the address the host alone, since the rest may hold a token. */
function told({ label, url, kinds, low_hay_days, state }: WebhookRow): object {
  return { label, host: new URL(url).host, happenings: kinds, lowHayDays: low_hay_days, state };
}
