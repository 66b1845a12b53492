import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { z } from 'zod';
import type { YardageRate } from '../../../core/season/yardage.js';
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

  /** Every rate in the order of entry, so that the later of two from one day counts. */
  async all({ db, operationId }: OperationTenant): Promise<YardageRate[]> {
    const rows = await db
      .selectFrom('yardage_rate')
      .selectAll()
      .where('operation_id', '=', operationId)
      .orderBy('recorded_at')
      .orderBy('id')
      .execute();
    return rows.map((row) => ({
      herdId: row.herd_id,
      from: row.from_on,
      perHeadDay: Money.of(row.amount, asCurrency(row.currency)),
    }));
  }
}
