import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import { notFound } from '../../../platform/http/problem.js';
import { type EventsAsked, newestFirst } from '../../kit/newest-first.read.js';

export type HarvestRow = Selectable<DB['harvest']>;
export type HarvestCostRow = Selectable<DB['harvest_cost']>;

@Injectable()
export class HarvestRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<HarvestRow> {
    const row = await db
      .selectFrom('harvest')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('harvest', id);
    return row;
  }

  /** Newest first, including reversed ones. */
  async page(
    { db, operationId }: OperationTenant,
    query: EventsAsked & { hayLotId?: string | undefined },
  ): Promise<HarvestRow[]> {
    let select = db.selectFrom('harvest').selectAll().where('operation_id', '=', operationId);
    if (query.hayLotId !== undefined) select = select.where('hay_lot_id', '=', query.hayLotId);
    return newestFirst(select, query).execute();
  }

  /** What they cost, where the person asking may see it. */
  async costs(
    { db, operationId }: OperationTenant,
    ids: readonly string[],
  ): Promise<ReadonlyMap<string, HarvestCostRow>> {
    if (ids.length === 0) return new Map();
    const rows = await db
      .selectFrom('harvest_cost')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('harvest_id', 'in', [...ids])
      .execute();
    return new Map(rows.map((row) => [row.harvest_id, row]));
  }
}
