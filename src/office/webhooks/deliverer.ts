import { Inject, Injectable, type OnModuleInit } from '@nestjs/common';
import { z } from 'zod';
import { type Clock, CLOCK } from '../../platform/clock.js';
import { Database } from '../../platform/database/database.js';
import type { WebhookServer } from '../../platform/database/types.js';
import { Jobs, type WorkingTime } from '../../platform/jobs/jobs.js';
import { Outgoing, type Posted, STOPPED } from '../../platform/outgoing/outgoing.js';
import { SealProblem, SecretBox } from '../../platform/secrets/secret-box.js';
import { DeliveryStore, type Taken } from './delivery.store.js';
import { messageText } from './message.js';
import { nextPause, restAfter, retryAfterSeconds } from './retry-plan.js';
import { TRIES_MOST } from './retry-plan.data.js';
import { signedHeaders } from './signature.js';
import type { DeliveryRow, WebhookRow } from './webhook.read.js';
import { ENDED } from './webhook.store.js';

/** After so many messages, or so long, others come first: this webhook goes on at the end of the queue. */
const TURN_MESSAGES = 10;
const TURN_MS = 20_000;
/** How soon a webhook looks again whose operation has as much under way as it may. */
const SHARE_USED_SECONDS = 5;
const CLOCKS_DIFFER_SECONDS = 600;
const GONE = 410;
const WANTS_NO_MORE = 'It answered 410: it wants no more messages. The webhook has ended.';
const OTHER_KEY = "The server's secret key is another since. Rotate the secret of the webhook.";

const job = z.object({ operationId: z.uuid(), webhookId: z.uuid() });

/**
 * Sends what webhooks are to be told. A job is one turn of one webhook; nobody else sends for it meanwhile. An attempt
 * is begun in one transaction and noted in another, and between them none is open: if this program ends there, the
 * library gives the job to another, and the same message goes out again under the same name.
 */
@Injectable()
export class Deliverer implements OnModuleInit {
  constructor(
    private readonly database: Database,
    private readonly store: DeliveryStore,
    private readonly jobs: Jobs,
    private readonly outgoing: Outgoing,
    private readonly secrets: SecretBox,
    @Inject(CLOCK) private readonly clock: Clock,
  ) {}

  onModuleInit(): void {
    this.jobs.handle('webhook-deliveries', async (content, time) => {
      const { operationId, webhookId } = job.parse(content);
      await this.#turn(operationId, webhookId, time);
    });
  }

  async #turn(operationId: string, webhookId: string, time: WorkingTime): Promise<void> {
    const began = performance.now();
    let sent = 0;
    let next = await this.#serving(operationId, (server) => this.#begin(server, webhookId));
    while (next !== undefined) {
      const taken = next;
      const posted = await this.#post(taken, time.ended);
      sent += 1;
      const mayGoOn = sent < TURN_MESSAGES && performance.now() - began < TURN_MS && !time.stopping;
      next = await this.#serving(operationId, (server) => this.#note(server, taken, posted, mayGoOn));
    }
  }

  #serving<T>(operationId: string, work: (server: WebhookServer) => Promise<T>): Promise<T> {
    return this.database.serveWebhooks(operationId, this.clock.now(), work);
  }

  /** Whoever has the turn looks for more before giving it back, and a rest has a job at its end: nothing is missed. */
  async #begin(server: WebhookServer, webhookId: string): Promise<Taken | undefined> {
    const webhook = await this.store.locked(server, webhookId);
    const now = server.moment.toISOString();
    if (webhook === undefined || webhook.state !== 'active') return undefined;
    if ((webhook.turn_until ?? '') > now || (webhook.rest_until ?? '') > now) return undefined;
    if (!(await this.store.isAnswered(server, webhook))) return undefined;
    if (await this.store.shareIsUsed(server, webhookId)) {
      await this.#later(server, webhookId, SHARE_USED_SECONDS);
      return undefined;
    }
    const taken = await this.store.takeNext(server, webhook);
    if (taken === undefined) await this.#forWhatIsNearlyDue(server, webhookId);
    return taken;
  }

  /** Clocks of servers differ: a job may come before its message is due by the clock here. */
  async #forWhatIsNearlyDue(server: WebhookServer, webhookId: string): Promise<void> {
    const seconds = await this.store.secondsUntilNext(server, webhookId);
    if (seconds === undefined || seconds > CLOCKS_DIFFER_SECONDS) return;
    const oncePer = { key: webhookId, seconds: 30 };
    await this.jobs.add(server.db, 'webhook-deliveries', jobOf(server, webhookId), { afterSeconds: seconds, oncePer });
  }

  async #post({ webhook, delivery }: Taken, ended: AbortSignal): Promise<Posted> {
    const at = this.clock.now();
    try {
      const body = messageText(delivery);
      const signed = signedHeaders({ id: delivery.message, at, body }, this.#secretsOf(webhook, at));
      const headers = { 'Content-Type': 'application/json', 'User-Agent': 'Rickyard-Webhooks/1', ...signed };
      return await this.outgoing.post(webhook.url, headers, body, ended);
    } catch (error) {
      if (!(error instanceof SealProblem)) throw error;
      return { status: undefined, tookMs: 0, answer: undefined, problem: OTHER_KEY, retryAfter: undefined };
    }
  }

  /** The one that signs, and the one before it while that is good. @throws SealProblem */
  #secretsOf({ id, secret, old_secret: old, old_secret_until: until }: WebhookRow, at: Date): string[] {
    const sealed = [secret, old !== null && until !== null && until > at.toISOString() ? old : null];
    return sealed.flatMap((one) => (one === null ? [] : [this.secrets.open(one, id)]));
  }

  /** What came of it, and the next that is due, if there is one and this turn may go on. */
  async #note(
    server: WebhookServer,
    { delivery, webhook: { id } }: Taken,
    posted: Posted,
    mayGoOn: boolean,
  ): Promise<Taken | undefined> {
    const webhook = await this.store.locked(server, id);
    if (webhook === undefined) return undefined;
    await this.store.noteAttempt(server, delivery, posted);
    const arrived = posted.status !== undefined && posted.status >= 200 && posted.status < 300;
    if (arrived) await this.#arrived(server, delivery, posted);
    else if (posted.status === GONE) await this.#gone(server, delivery, webhook);
    else await this.#failed(server, delivery, webhook, posted);
    const now = await this.store.locked(server, id);
    const rests = (now?.rest_until ?? '') > server.moment.toISOString();
    if (mayGoOn && now?.state === 'active' && !rests) return this.store.takeNext(server, now);
    await this.store.setTurn(server, id, null);
    if (now?.state === 'active' && !rests) await this.jobs.add(server.db, 'webhook-deliveries', jobOf(server, id));
    return undefined;
  }

  async #arrived(server: WebhookServer, { id, webhook_id }: DeliveryRow, { status }: Posted): Promise<void> {
    const at = server.moment.toISOString();
    await this.store.change(server, id, {
      state: 'delivered',
      next_try_at: null,
      trying_since: null,
      last_status: status ?? null,
      last_problem: null,
      ended_at: at,
    });
    await this.store.changeWebhook(server, webhook_id, {
      failures_in_row: 0,
      failing_since: null,
      rest_until: null,
      last_delivered_at: at,
    });
  }

  /** The receiver wants no more (Standard Webhooks 1.0.0, Delivery success and failure). */
  async #gone(server: WebhookServer, delivery: DeliveryRow, webhook: WebhookRow): Promise<void> {
    await this.store.giveUpWaiting(server, webhook.id, ENDED);
    await this.store.change(server, delivery.id, {
      trying_since: null,
      last_status: GONE,
      last_problem: WANTS_NO_MORE,
    });
    if (webhook.state === 'ended') return;
    await this.store.changeWebhook(server, webhook.id, {
      state: 'ended',
      ended_because: 'receiver-gone',
      secret: null,
      old_secret: null,
      old_secret_until: null,
    });
    await server.audit({
      action: 'webhook.end',
      subjectKind: 'webhook',
      subjectId: webhook.id,
      after: { because: 'receiver-gone' },
    });
  }

  async #failed(server: WebhookServer, delivery: DeliveryRow, webhook: WebhookRow, posted: Posted): Promise<void> {
    const stopped = posted.problem === STOPPED;
    const now = server.moment;
    const asked = retryAfterSeconds(posted.retryAfter, now);
    const pause = stopped ? 1 : nextPause(delivery.tries, asked, Math.random());
    const problem = posted.problem ?? `It answered ${posted.status ?? 'nothing'} instead of 2xx.`;
    await this.store.change(server, delivery.id, {
      trying_since: null,
      tries: stopped ? delivery.tries - 1 : delivery.tries,
      last_status: posted.status ?? null,
      last_problem: problem,
    });
    if (webhook.state !== 'ended')
      await this.store.change(server, delivery.id, {
        state: pause === undefined ? 'dead' : 'waiting',
        next_try_at: pause === undefined ? null : later(now, pause),
        ended_at: pause === undefined ? now.toISOString() : null,
        ...(pause === undefined ? { last_problem: `${problem} Given up after ${TRIES_MOST} attempts.` } : {}),
      });
    if (pause !== undefined) await this.#later(server, webhook.id, pause);
    if (stopped) return;
    const failures = webhook.failures_in_row + 1;
    const rest = Math.max(restAfter(failures), asked ?? 0);
    await this.store.changeWebhook(server, webhook.id, {
      failures_in_row: failures,
      failing_since: webhook.failing_since ?? now.toISOString(),
      rest_until: rest === 0 ? null : later(now, rest),
    });
    if (rest > 0) await this.#later(server, webhook.id, rest);
  }

  /** One job for each second is enough, however many messages wait. */
  async #later(server: WebhookServer, webhookId: string, seconds: number): Promise<void> {
    // A job that comes a moment too soon would find nothing due.
    await this.jobs.add(server.db, 'webhook-deliveries', jobOf(server, webhookId), { afterSeconds: seconds + 1 });
  }
}

function jobOf({ operationId }: WebhookServer, webhookId: string): { operationId: string; webhookId: string } {
  return { operationId, webhookId };
}

function later(now: Date, seconds: number): string {
  return new Date(now.getTime() + seconds * 1000).toISOString();
}
