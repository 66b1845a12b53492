import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { inIdOrder } from '../../platform/database/id-order.js';
import type { DB, OperationTenant, Words } from '../../platform/database/types.js';
import type { PageAsked } from '../../platform/http/cursor.js';
import { notFound } from '../../platform/http/problem.js';

export type ImportRow = Selectable<DB['data_import']>;

/** Identifies a file: its kind and its hash. */
export interface ImportedFile {
  readonly kind: Words['ImportKind'];
  readonly fileSha256: string;
}

@Injectable()
export class ImportRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<ImportRow> {
    const row = await db
      .selectFrom('data_import')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('import');
    return row;
  }

  /** The finished import of this same file, if there is one. */
  async doneBefore(
    { db, operationId }: OperationTenant,
    { kind, fileSha256 }: ImportedFile,
  ): Promise<ImportRow | undefined> {
    return db
      .selectFrom('data_import')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('kind', '=', kind)
      .where('file_sha256', '=', fileSha256)
      .where('state', '=', 'done')
      .executeTakeFirst();
  }

  /** This person's running import of this same file: one with progress since `silentSince`. */
  async running(
    { db, operationId, personId }: OperationTenant,
    { kind, fileSha256 }: ImportedFile,
    silentSince: string,
  ): Promise<ImportRow | undefined> {
    return db
      .selectFrom('data_import')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('kind', '=', kind)
      .where('file_sha256', '=', fileSha256)
      .where('recorded_by', '=', personId)
      .where('state', '=', 'running')
      .where('moved_at', '>=', silentSince)
      .orderBy('id')
      .executeTakeFirst();
  }

  /** Newest first. A running one without progress since `silentSince` counts as broken off. */
  async page(
    { db, operationId }: OperationTenant,
    query: PageAsked & { state?: Words['ImportState'] | undefined },
    silentSince: string,
  ): Promise<ImportRow[]> {
    let select = db.selectFrom('data_import').selectAll().where('operation_id', '=', operationId);
    if (query.state === 'running') select = select.where('state', '=', 'running').where('moved_at', '>=', silentSince);
    else if (query.state === 'broken-off')
      select = select.where((e) =>
        e.or([e('state', '=', 'broken-off'), e.and([e('state', '=', 'running'), e('moved_at', '<', silentSince)])]),
      );
    else if (query.state !== undefined) select = select.where('state', '=', query.state);
    return inIdOrder(select, query, 'desc').execute();
  }

  /** Which record each row made, starting after a given row of the file. */
  async records(
    { db, operationId }: OperationTenant,
    importId: string,
    { after, limit }: { after: number; limit: number },
  ): Promise<Selectable<DB['data_import_record']>[]> {
    return db
      .selectFrom('data_import_record')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('data_import_id', '=', importId)
      .where('row_number', '>', after)
      .orderBy('row_number')
      .limit(limit)
      .execute();
  }

  /** The lots that the records of an import tell of. */
  async lotIds({ db, operationId }: OperationTenant, importId: string): Promise<string[]> {
    const told = (table: 'lab_test' | 'hay_observation' | 'hay_purchase') =>
      db
        .selectFrom(table)
        .innerJoin('data_import_record as made', (join) =>
          join.onRef('made.operation_id', '=', `${table}.operation_id`).onRef('made.subject_id', '=', `${table}.id`),
        )
        .select(`${table}.hay_lot_id`)
        .where('made.operation_id', '=', operationId)
        .where('made.data_import_id', '=', importId);
    const rows = await told('lab_test').union(told('hay_observation')).union(told('hay_purchase')).execute();
    return rows.map((row) => row.hay_lot_id);
  }
}
