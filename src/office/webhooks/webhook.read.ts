import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import { z } from 'zod';
import { inIdOrder } from '../../platform/database/id-order.js';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { type PageAsked, readCursor } from '../../platform/http/cursor.js';
import { notFound } from '../../platform/http/problem.js';
import type { ShownState } from './webhook.schema.js';

export type WebhookRow = Selectable<DB['webhook']>;
export type DeliveryRow = Selectable<DB['webhook_delivery']>;
export type AttemptRow = Selectable<DB['webhook_attempt']>;

/** How many messages of a webhook wait, and how many were given up: after attempts, or without any. */
export interface Counts {
  waiting: number;
  dead: number;
  unsent: number;
}

/** As it is told: what was given up without an attempt was never sent. */
const SHOWN_STATE = sql<ShownState>`CASE WHEN state = 'dead' AND attempts = 0 THEN 'unsent' ELSE state END`;
const place = z.tuple([z.iso.datetime(), z.uuid()]);

@Injectable()
export class WebhookRead {
  /** With `lock`, nobody else changes it, nor begins to deliver for it, until the transaction ends. */
  async one({ db, operationId }: OperationTenant, id: string, { lock = false } = {}): Promise<WebhookRow> {
    const select = db.selectFrom('webhook').selectAll().where('operation_id', '=', operationId).where('id', '=', id);
    const row = await (lock ? select.forUpdate() : select).executeTakeFirst();
    if (row === undefined) throw notFound('webhook');
    return row;
  }

  async page({ db, operationId }: OperationTenant, query: PageAsked): Promise<WebhookRow[]> {
    return inIdOrder(
      db.selectFrom('webhook').selectAll().where('operation_id', '=', operationId),
      query,
      'asc',
    ).execute();
  }

  /** How many have not ended; nobody else adds one until the transaction ends. */
  async standing({ db, operationId }: OperationTenant): Promise<number> {
    await sql`SELECT pg_advisory_xact_lock(hashtextextended(${operationId}, 748))`.execute(db);
    const row = await db
      .selectFrom('webhook')
      .select((e) => e.fn.countAll<string>().as('count'))
      .where('operation_id', '=', operationId)
      .where('state', '<>', 'ended')
      .executeTakeFirstOrThrow();
    return Number(row.count);
  }

  /** Which of these people are owners now: a webhook of one who is not rests. */
  async owners({ db, operationId, moment }: OperationTenant, people: readonly string[]): Promise<ReadonlySet<string>> {
    if (people.length === 0) return new Set();
    const { rows } = await sql<{ id: string }>`
      SELECT p.id::text AS id FROM (SELECT DISTINCT unnest(${[...people]}::uuid[]) AS id) AS p
       WHERE rickyard.still_owns(${operationId}::uuid, p.id, ${moment.toISOString()}::timestamptz)`.execute(db);
    return new Set(rows.map((row) => row.id));
  }

  async counts({ db, operationId }: OperationTenant, webhookIds: readonly string[]): Promise<Map<string, Counts>> {
    if (webhookIds.length === 0) return new Map();
    const rows = await db
      .selectFrom('webhook_delivery')
      .select(['webhook_id', SHOWN_STATE.as('state'), (e) => e.fn.countAll<string>().as('count')])
      .where('operation_id', '=', operationId)
      .where('webhook_id', 'in', [...webhookIds])
      .where('state', 'in', ['waiting', 'dead'])
      .groupBy([sql`1`, sql`2`])
      .execute();
    const of = (id: string, state: ShownState): number =>
      Number(rows.find((row) => row.webhook_id === id && row.state === state)?.count ?? 0);
    return new Map(
      webhookIds.map((id) => [id, { waiting: of(id, 'waiting'), dead: of(id, 'dead'), unsent: of(id, 'unsent') }]),
    );
  }

  /** Newest first. */
  async deliveries(
    { db, operationId }: OperationTenant,
    webhookId: string,
    { state, limit, cursor }: PageAsked & { state?: ShownState | undefined },
  ): Promise<DeliveryRow[]> {
    let select = db
      .selectFrom('webhook_delivery')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('webhook_id', '=', webhookId)
      .orderBy('created_at', 'desc')
      .orderBy('id', 'desc')
      .limit(limit + 1);
    if (state !== undefined) select = select.where(SHOWN_STATE, '=', state);
    if (cursor !== undefined) {
      const [at, id] = readCursor(cursor, place);
      select = select.where(sql<boolean>`(created_at, id) < (${at}::timestamptz, ${id}::uuid)`);
    }
    return select.execute();
  }

  async delivery(
    { db, operationId }: OperationTenant,
    webhookId: string,
    id: string,
    { lock = false } = {},
  ): Promise<DeliveryRow> {
    const select = db
      .selectFrom('webhook_delivery')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('webhook_id', '=', webhookId)
      .where('id', '=', id);
    const row = await (lock ? select.forUpdate() : select).executeTakeFirst();
    if (row === undefined) throw notFound('message of this webhook');
    return row;
  }

  async attempts({ db, operationId }: OperationTenant, deliveryId: string): Promise<AttemptRow[]> {
    return db
      .selectFrom('webhook_attempt')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('webhook_delivery_id', '=', deliveryId)
      .orderBy('number')
      .execute();
  }

  async testWaits({ db, operationId }: OperationTenant, webhookId: string): Promise<boolean> {
    const row = await db
      .selectFrom('webhook_delivery')
      .select('id')
      .where('operation_id', '=', operationId)
      .where('webhook_id', '=', webhookId)
      .where('kind', '=', 'webhook.tested')
      .where('state', '=', 'waiting')
      .limit(1)
      .executeTakeFirst();
    return row !== undefined;
  }

  /** How often somebody tried it since then. */
  async testsSince({ db, operationId }: OperationTenant, webhookId: string, since: Date): Promise<number> {
    const row = await db
      .selectFrom('webhook_delivery')
      .select((e) => e.fn.countAll<string>().as('count'))
      .where('operation_id', '=', operationId)
      .where('webhook_id', '=', webhookId)
      .where('kind', '=', 'webhook.tested')
      .where('created_at', '>', since.toISOString())
      .executeTakeFirstOrThrow();
    return Number(row.count);
  }
}
