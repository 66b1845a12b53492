import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import { z } from 'zod';
import type { YardageRateEntry } from '../../../core/season/yardage.js';
import { Money } from '../../../core/units/money.js';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import { type PageAsked, readCursor } from '../../../platform/http/cursor.js';
import { notFound } from '../../../platform/http/problem.js';
import { asCurrency } from '../../../platform/wire/quantity.schema.js';

export type YardageRateRow = Selectable<DB['yardage_rate']>;

@Injectable()
export class YardageRateRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<YardageRateRow> {
    const row = await db
      .selectFrom('yardage_rate')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('yardage rate', id);
    return row;
  }

  async page({ db, operationId }: OperationTenant, query: PageAsked): Promise<YardageRateRow[]> {
    let select = db
      .selectFrom('yardage_rate')
      .selectAll()
      .where('operation_id', '=', operationId)
      .orderBy('id')
      .limit(query.limit + 1);
    if (query.cursor !== undefined) select = select.where('id', '>', readCursor(query.cursor, z.tuple([z.uuid()]))[0]);
    return select.execute();
  }

  /**
   * Every rate as it was entered, and the reversals, in the order of entry, so that the later of two from one day
   * counts. What counts for some days tells `ratesOf`.
   */
  async all({ db, operationId }: OperationTenant): Promise<YardageRateEntry[]> {
    const { rows } = await sql<{
      id: string;
      on: string;
      reversesId: string | null;
      herdId: string | null;
      amount: string;
      currency: string;
    }>`
      SELECT x.id, x."on", x."reversesId", y.herd_id AS "herdId", y.amount::text, y.currency FROM (
        SELECT id, from_on AS "on", NULL::uuid AS "reversesId", id AS rate_id, recorded_at FROM yardage_rate
         WHERE operation_id = ${operationId}
        UNION ALL
        SELECT id, effective_on, subject_id, subject_id, recorded_at FROM reversal
         WHERE operation_id = ${operationId} AND subject_kind = 'yardage-rate') x
        JOIN yardage_rate y ON y.operation_id = ${operationId} AND y.id = x.rate_id
       ORDER BY x.recorded_at, x.id`.execute(db);
    return rows.map(({ amount, currency, ...row }) => ({
      ...row,
      perHeadDay: Money.of(amount, asCurrency(currency)),
    }));
  }
}
