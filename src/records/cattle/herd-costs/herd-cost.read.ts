import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import type { DatedEntry } from '../../../core/time/what-stands.js';
import type { DB, OperationTenant, Words } from '../../../platform/database/types.js';
import { notFound } from '../../../platform/http/problem.js';
import { toldInPlace } from '../../kit/told-in-place.read.js';
import { type EventsAsked, newestFirst } from '../../kit/newest-first.read.js';

export type HerdCostRow = Selectable<DB['herd_cost']>;
export type HerdCostMoneyRow = Selectable<DB['herd_cost_money']>;

/** A cost of a herd, or a reversal of one, as entries of the books. What counts for some days tells `whatStands`. */
export interface HerdCostEntry extends DatedEntry {
  /** The cost itself, also of a reversal. */
  readonly herdCostId: string;
  readonly herdId: string;
  readonly kind: Words['HerdCostKind'];
  readonly payee: string;
  readonly note: string | null;
  /** Signed: a reversal takes back what the cost was. */
  readonly amount: string;
}

@Injectable()
export class HerdCostRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<HerdCostRow> {
    const row = await db
      .selectFrom('herd_cost')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('herd cost', id);
    return row;
  }

  /** Newest first, including reversed ones. */
  async page(
    { db, operationId }: OperationTenant,
    query: EventsAsked & { herdId?: string | undefined },
  ): Promise<HerdCostRow[]> {
    let select = db.selectFrom('herd_cost').selectAll().where('operation_id', '=', operationId);
    if (query.herdId !== undefined) select = select.where('herd_id', '=', query.herdId);
    return newestFirst(select, query).execute();
  }

  /** Their money, where the person asking may see it. */
  async money(
    { db, operationId }: OperationTenant,
    ids: readonly string[],
  ): Promise<ReadonlyMap<string, HerdCostMoneyRow>> {
    if (ids.length === 0) return new Map();
    const rows = await db
      .selectFrom('herd_cost_money')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('herd_cost_id', 'in', [...ids])
      .execute();
    return new Map(rows.map((row) => [row.herd_cost_id, row]));
  }

  /** All costs of some herds up to a day and their reversals, oldest first; to whoever sees no prices, none. */
  async entered(
    { db, operationId }: OperationTenant,
    herdIds: readonly string[],
    until: string,
  ): Promise<HerdCostEntry[]> {
    const { rows } = await sql<HerdCostEntry>`
      SELECT x.id, x."on", x."reversesId", c.id AS "herdCostId", c.herd_id AS "herdId", c.kind, c.payee, c.note,
        (CASE WHEN x."reversesId" IS NULL THEN m.amount ELSE -m.amount END)::text AS amount,
        ${toldInPlace('c')} AS "toldOn"
        FROM (
          SELECT id, happened_on AS "on", NULL::uuid AS "reversesId", id AS cost_id FROM herd_cost
           WHERE operation_id = ${operationId}
          UNION ALL
          SELECT id, effective_on, subject_id, subject_id FROM reversal
           WHERE operation_id = ${operationId} AND subject_kind = 'herd-cost') x
        JOIN herd_cost c ON c.operation_id = ${operationId} AND c.id = x.cost_id
        JOIN herd_cost_money m ON m.operation_id = ${operationId} AND m.herd_cost_id = c.id
       WHERE c.herd_id = ANY (${herdIds}::uuid[]) AND x."on" <= ${until}::date
       ORDER BY x."on", x.id`.execute(db);
    return rows;
  }
}
