import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import { notFound } from '../../../platform/http/problem.js';
import { type EventsAsked, newestFirst } from '../../kit/newest-first.read.js';

export type HayTransferRow = Selectable<DB['hay_transfer']>;

@Injectable()
export class HayTransferRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<HayTransferRow> {
    const row = await db
      .selectFrom('hay_transfer')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('transfer', id);
    return row;
  }

  /** Newest first, including reversed ones. */
  async page(
    { db, operationId }: OperationTenant,
    query: EventsAsked & { hayLotId?: string | undefined },
  ): Promise<HayTransferRow[]> {
    let select = db.selectFrom('hay_transfer').selectAll().where('operation_id', '=', operationId);
    const { hayLotId } = query;
    if (hayLotId !== undefined)
      select = select.where((e) => e.or([e('from_lot_id', '=', hayLotId), e('to_lot_id', '=', hayLotId)]));
    return newestFirst(select, query).execute();
  }
}
