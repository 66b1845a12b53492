import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import { notFound } from '../../../platform/http/problem.js';
import { type EventsAsked, newestFirst } from '../../kit/newest-first.read.js';

export type HeadChangeRow = Selectable<DB['head_change']>;
export type HeadChangePriceRow = Selectable<DB['head_change_price']>;

@Injectable()
export class HeadChangeRead {
  async one({ db, operationId }: OperationTenant, herdId: string, id: string): Promise<HeadChangeRow> {
    const row = await db
      .selectFrom('head_change')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('herd_id', '=', herdId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('head change');
    return row;
  }

  /** Of one herd, or of all. */
  async page(
    { db, operationId }: OperationTenant,
    query: EventsAsked & { herdId?: string | undefined },
  ): Promise<HeadChangeRow[]> {
    let select = db.selectFrom('head_change').selectAll().where('operation_id', '=', operationId);
    if (query.herdId !== undefined) select = select.where('herd_id', '=', query.herdId);
    return newestFirst(select, query).execute();
  }

  async byId({ db, operationId }: OperationTenant, ids: readonly string[]): Promise<HeadChangeRow[]> {
    return db
      .selectFrom('head_change')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', sql<string>`ANY (${[...ids]}::uuid[])`)
      .execute();
  }

  /** Both sides of every one of these that is a move between herds. */
  async sidesOf({ db, operationId }: OperationTenant, changes: readonly HeadChangeRow[]): Promise<HeadChangeRow[]> {
    const moves = changes.flatMap((change) => change.move_id ?? []);
    if (moves.length === 0) return [];
    return db
      .selectFrom('head_change')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('move_id', '=', sql<string>`ANY (${moves}::uuid[])`)
      .where('kind', '<>', 'reversal')
      .execute();
  }

  /** What they were priced at, where the person asking may see it; by head change. */
  async prices(
    { db, operationId }: OperationTenant,
    ids: readonly string[],
  ): Promise<ReadonlyMap<string, HeadChangePriceRow>> {
    if (ids.length === 0) return new Map();
    const rows = await db
      .selectFrom('head_change_price')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('head_change_id', 'in', [...ids])
      .execute();
    return new Map(rows.map((row) => [row.head_change_id, row]));
  }

  /** Prices of the head changes of these herds, by head change. */
  async pricesOfHerds(
    { db, operationId }: OperationTenant,
    herdIds: readonly string[],
  ): Promise<ReadonlyMap<string, HeadChangePriceRow>> {
    if (herdIds.length === 0) return new Map();
    const rows = await db
      .selectFrom('head_change_price')
      .innerJoin('head_change', (join) =>
        join
          .onRef('head_change.operation_id', '=', 'head_change_price.operation_id')
          .onRef('head_change.id', '=', 'head_change_price.head_change_id'),
      )
      .selectAll('head_change_price')
      .where('head_change.operation_id', '=', operationId)
      .where('head_change.herd_id', 'in', [...herdIds])
      .execute();
    return new Map(rows.map((row) => [row.head_change_id, row]));
  }
}
