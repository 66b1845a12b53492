import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import { notFound } from '../../../platform/http/problem.js';
import { type EventsAsked, newestFirst } from '../../kit/newest-first.read.js';

export type HaySaleRow = Selectable<DB['hay_sale']>;
export type HaySalePriceRow = Selectable<DB['hay_sale_price']>;

@Injectable()
export class HaySaleRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<HaySaleRow> {
    const row = await db
      .selectFrom('hay_sale')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('sale', id);
    return row;
  }

  /** Newest first, including reversed ones. */
  async page(
    { db, operationId }: OperationTenant,
    query: EventsAsked & { hayLotId?: string | undefined },
  ): Promise<HaySaleRow[]> {
    let select = db.selectFrom('hay_sale').selectAll().where('operation_id', '=', operationId);
    if (query.hayLotId !== undefined) select = select.where('hay_lot_id', '=', query.hayLotId);
    return newestFirst(select, query).execute();
  }

  /** What they brought, where the person asking may see it. */
  async prices(
    { db, operationId }: OperationTenant,
    ids: readonly string[],
  ): Promise<ReadonlyMap<string, HaySalePriceRow>> {
    if (ids.length === 0) return new Map();
    const rows = await db
      .selectFrom('hay_sale_price')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('hay_sale_id', 'in', [...ids])
      .execute();
    return new Map(rows.map((row) => [row.hay_sale_id, row]));
  }
}
