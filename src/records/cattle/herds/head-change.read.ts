import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import { notFound } from '../../../platform/http/problem.js';
import { type EventsAsked, newestFirst } from '../../kit/newest-first.read.js';

export type HeadChangeRow = Selectable<DB['head_change']>;

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
}
