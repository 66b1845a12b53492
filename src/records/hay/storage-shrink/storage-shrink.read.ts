import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import type { DB, OperationTenant, Words } from '../../../platform/database/types.js';
import { notFound } from '../../../platform/http/problem.js';
import { type EventsAsked, newestFirst } from '../../kit/newest-first.read.js';

export type StorageShrinkRow = Selectable<DB['storage_shrink']>;
export type StorageMeasurementRow = Selectable<DB['storage_measurement']>;

/** Hay lost in storage, and the ranch's own measurements of such losses. */
@Injectable()
export class StorageShrinkRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<StorageShrinkRow> {
    const row = await db
      .selectFrom('storage_shrink')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('storage loss', id);
    return row;
  }

  /** Newest first, including reversed ones. */
  async page(
    { db, operationId }: OperationTenant,
    query: EventsAsked & { hayLotId?: string | undefined },
  ): Promise<StorageShrinkRow[]> {
    let select = db.selectFrom('storage_shrink').selectAll().where('operation_id', '=', operationId);
    if (query.hayLotId !== undefined) select = select.where('hay_lot_id', '=', query.hayLotId);
    return newestFirst(select, query).execute();
  }

  async measurement({ db, operationId }: OperationTenant, id: string): Promise<StorageMeasurementRow> {
    const row = await db
      .selectFrom('storage_measurement')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('measurement of storage loss', id);
    return row;
  }

  /** Newest first, including withdrawn ones. */
  async measurements(
    { db, operationId }: OperationTenant,
    query: EventsAsked & { storageMethod?: Words['StorageMethod'] | undefined },
  ): Promise<StorageMeasurementRow[]> {
    let select = db.selectFrom('storage_measurement').selectAll().where('operation_id', '=', operationId);
    if (query.storageMethod !== undefined) select = select.where('storage_method', '=', query.storageMethod);
    return newestFirst(select, query).execute();
  }
}
