import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import { notFound } from '../../../platform/http/problem.js';
import { type EventsAsked, newestFirst } from '../../kit/newest-first.read.js';

export type HayPurchaseRow = Selectable<DB['hay_purchase']>;
export type HayPurchasePriceRow = Selectable<DB['hay_purchase_price']>;

@Injectable()
export class HayPurchaseRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<HayPurchaseRow> {
    const row = await db
      .selectFrom('hay_purchase')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('hay purchase', id);
    return row;
  }

  /** Newest first, including reversed ones. */
  async page(
    { db, operationId }: OperationTenant,
    query: EventsAsked & { hayLotId?: string | undefined },
  ): Promise<HayPurchaseRow[]> {
    let select = db.selectFrom('hay_purchase').selectAll().where('operation_id', '=', operationId);
    if (query.hayLotId !== undefined) select = select.where('hay_lot_id', '=', query.hayLotId);
    return newestFirst(select, query).execute();
  }

  /** What they cost, where the person asking may see it. */
  async prices(
    { db, operationId }: OperationTenant,
    ids: readonly string[],
  ): Promise<ReadonlyMap<string, HayPurchasePriceRow>> {
    if (ids.length === 0) return new Map();
    const rows = await db
      .selectFrom('hay_purchase_price')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('hay_purchase_id', 'in', [...ids])
      .execute();
    return new Map(rows.map((row) => [row.hay_purchase_id, row]));
  }

  /** The offer that each purchase accepted, if any. */
  async offersTaken(
    { db, operationId }: OperationTenant,
    ids: readonly string[],
  ): Promise<ReadonlyMap<string, string>> {
    if (ids.length === 0) return new Map();
    const rows = await db
      .selectFrom('hay_quote_purchase')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('hay_purchase_id', 'in', [...ids])
      .execute();
    return new Map(rows.map((row) => [row.hay_purchase_id, row.hay_quote_id]));
  }
}
