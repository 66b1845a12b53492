import { Injectable } from '@nestjs/common';
import { sql, type Updateable } from 'kysely';
import type { DB, WebhookServer } from '../../platform/database/types.js';
import type { Posted } from '../../platform/outgoing/outgoing.js';
import { TRIES_MOST } from './retry-plan.data.js';
import type { DeliveryRow, WebhookRow } from './webhook.read.js';

/** Longer than one attempt takes, so that no other process tries meanwhile; after that one takes over. */
const TURN_MS = 60_000;
/** So many webhooks of one operation are delivered for at a time: what is slow there keeps no other waiting. */
const TURNS_OF_OPERATION = 2;
const DEAD = { state: 'dead', next_try_at: null } as const;
const LOST = 'The server ended before it was noted what came of it; it may have arrived.';

/** A message of a webhook, taken by this process to be sent. */
export interface Taken {
  webhook: WebhookRow;
  delivery: DeliveryRow;
}

/** What the server writes while it delivers, in transactions of its own (`Database.serveWebhooks`). */
@Injectable()
export class DeliveryStore {
  /** The webhook, which nobody else changes until the transaction ends. */
  async locked({ db, operationId }: WebhookServer, webhookId: string): Promise<WebhookRow | undefined> {
    return db
      .selectFrom('webhook')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', webhookId)
      .forUpdate()
      .executeTakeFirst();
  }

  /** Whether the owner who answers for it is one still. */
  async isAnswered({ db, operationId, moment }: WebhookServer, { answered_by }: WebhookRow): Promise<boolean> {
    const { rows } = await sql<{ owns: boolean }>`
      SELECT rickyard.still_owns(${operationId}::uuid, ${answered_by}::uuid, ${moment.toISOString()}::timestamptz)
        AS owns`.execute(db);
    return rows[0]?.owns === true;
  }

  /** Whether others of the operation have used up what it may have under way. */
  async shareIsUsed({ db, operationId, moment }: WebhookServer, webhookId: string): Promise<boolean> {
    // One after another, or each would count before the others have begun.
    await sql`SELECT pg_advisory_xact_lock(hashtextextended(${operationId}, 749))`.execute(db);
    const row = await db
      .selectFrom('webhook')
      .select((e) => e.fn.countAll<string>().as('count'))
      .where('operation_id', '=', operationId)
      .where('id', '<>', webhookId)
      .where('turn_until', '>', moment.toISOString())
      .executeTakeFirstOrThrow();
    return Number(row.count) >= TURNS_OF_OPERATION;
  }

  /** Begins the attempt that has been due longest, and keeps the turn for it; ends the turn where none is due. */
  async takeNext(server: WebhookServer, webhook: WebhookRow): Promise<Taken | undefined> {
    const { db, operationId, moment } = server;
    const at = moment.toISOString();
    const due = await db
      .selectFrom('webhook_delivery')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('webhook_id', '=', webhook.id)
      .where('state', '=', 'waiting')
      .where('next_try_at', '<=', at)
      .orderBy('next_try_at')
      .orderBy('id')
      .limit(1)
      .forUpdate()
      .executeTakeFirst();
    await this.setTurn(server, webhook.id, due === undefined ? null : new Date(moment.getTime() + TURN_MS));
    if (due === undefined) return undefined;
    if (due.trying_since !== null) {
      await this.#addAttempt(server, due, { began_at: due.trying_since, problem: LOST });
      if (due.tries >= TRIES_MOST) {
        await this.change(server, due.id, { ...DEAD, trying_since: null, last_problem: LOST, ended_at: at });
        return this.takeNext(server, webhook);
      }
    }
    const begun = { trying_since: at, tries: due.tries + 1, attempts: due.attempts + 1 };
    await this.change(server, due.id, begun);
    return { webhook, delivery: { ...due, ...begun } };
  }

  /** Until the first that waits is due; undefined where none waits. */
  async secondsUntilNext({ db, operationId, moment }: WebhookServer, webhookId: string): Promise<number | undefined> {
    const row = await db
      .selectFrom('webhook_delivery')
      .select((e) => e.fn.min('next_try_at').as('next'))
      .where('operation_id', '=', operationId)
      .where('webhook_id', '=', webhookId)
      .where('state', '=', 'waiting')
      .executeTakeFirstOrThrow();
    return row.next === null ? undefined : (Date.parse(row.next) - moment.getTime()) / 1000;
  }

  async setTurn({ db, operationId }: WebhookServer, webhookId: string, until: Date | null): Promise<void> {
    await db
      .updateTable('webhook')
      .set({ turn_until: until?.toISOString() ?? null })
      .where('operation_id', '=', operationId)
      .where('id', '=', webhookId)
      .execute();
  }

  async changeWebhook(
    { db, operationId }: WebhookServer,
    id: string,
    changed: Partial<Updateable<DB['webhook']>>,
  ): Promise<void> {
    await db.updateTable('webhook').set(changed).where('operation_id', '=', operationId).where('id', '=', id).execute();
  }

  async change(
    { db, operationId }: WebhookServer,
    id: string,
    changed: Partial<Updateable<DB['webhook_delivery']>>,
  ): Promise<void> {
    await db
      .updateTable('webhook_delivery')
      .set(changed)
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .execute();
  }

  /** What came of an attempt, for whoever looks. */
  async noteAttempt(server: WebhookServer, delivery: DeliveryRow, posted: Posted): Promise<void> {
    await this.#addAttempt(server, delivery, {
      began_at: delivery.trying_since ?? server.moment.toISOString(),
      took_ms: posted.tookMs,
      status: posted.status ?? null,
      problem: posted.problem ?? null,
      answer: posted.answer ?? null,
    });
  }

  async #addAttempt(
    { db, operationId }: WebhookServer,
    { id, attempts }: Pick<DeliveryRow, 'id' | 'attempts'>,
    attempt: { began_at: string; problem: string | null } & Partial<
      Pick<DB['webhook_attempt'], 'took_ms' | 'status' | 'answer'>
    >,
  ): Promise<void> {
    await db
      .insertInto('webhook_attempt')
      .values({ operation_id: operationId, webhook_delivery_id: id, number: attempts, ...attempt })
      .onConflict((conflict) => conflict.doNothing())
      .execute();
  }

  /** All that waits for a webhook is given up. */
  async giveUpWaiting({ db, operationId, moment }: WebhookServer, webhookId: string, because: string): Promise<void> {
    await db
      .updateTable('webhook_delivery')
      .set({ ...DEAD, last_problem: because, ended_at: moment.toISOString() })
      .where('operation_id', '=', operationId)
      .where('webhook_id', '=', webhookId)
      .where('state', '=', 'waiting')
      .execute();
  }
}
