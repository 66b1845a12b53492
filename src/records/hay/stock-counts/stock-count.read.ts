import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { Mass } from '../../../core/units/mass.js';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import { notFound } from '../../../platform/http/problem.js';
import { type EventsAsked, newestFirst } from '../../kit/newest-first.read.js';

export type StockCountRow = Selectable<DB['stock_count']>;

@Injectable()
export class StockCountRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<StockCountRow> {
    const row = await db
      .selectFrom('stock_count')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('count', id);
    return row;
  }

  /** Newest first, including reversed ones. */
  async page(
    { db, operationId }: OperationTenant,
    query: EventsAsked & { hayLotId?: string | undefined },
  ): Promise<StockCountRow[]> {
    let select = db.selectFrom('stock_count').selectAll().where('operation_id', '=', operationId);
    if (query.hayLotId !== undefined) select = select.where('hay_lot_id', '=', query.hayLotId);
    return newestFirst(select, query).execute();
  }

  /** What each count adjusts now: when it was entered, and each time it was restated since. */
  async differences({ db, operationId }: OperationTenant, ids: readonly string[]): Promise<Map<string, Mass>> {
    if (ids.length === 0) return new Map();
    const rows = await db
      .selectFrom('stock_movement')
      .select(['source_id', (e) => e.fn.sum<string>('kilograms').as('kilograms')])
      .where('operation_id', '=', operationId)
      .where('source_kind', '=', 'stock-count')
      .where('source_id', 'in', [...ids])
      .where('kind', '=', 'count-adjustment')
      .groupBy('source_id')
      .execute();
    return new Map(rows.map((row) => [row.source_id, Mass.kilograms(row.kilograms)]));
  }

  /** The counts confirmed with these draws. */
  async ofDraws({ db, operationId }: OperationTenant, drawIds: readonly string[]): Promise<Map<string, string[]>> {
    const counts = new Map<string, string[]>();
    if (drawIds.length === 0) return counts;
    const rows = await db
      .selectFrom('stock_count')
      .select(['id', 'draw_id'])
      .where('operation_id', '=', operationId)
      .where('draw_id', 'in', [...drawIds])
      .orderBy('id')
      .execute();
    for (const { id, draw_id: drawId } of rows)
      if (drawId !== null) counts.set(drawId, [...(counts.get(drawId) ?? []), id]);
    return counts;
  }
}
