import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { inIdOrder } from '../../../platform/database/id-order.js';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import type { PageAsked } from '../../../platform/http/cursor.js';
import { notFound } from '../../../platform/http/problem.js';
import type { ImportKindCode } from '../import-kind.js';

export type ImportMappingRow = Selectable<DB['import_mapping']>;

@Injectable()
export class ImportMappingRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<ImportMappingRow> {
    const row = await db
      .selectFrom('import_mapping')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('import mapping', id);
    return row;
  }

  async page(
    { db, operationId }: OperationTenant,
    query: PageAsked & { kind?: ImportKindCode | undefined },
  ): Promise<ImportMappingRow[]> {
    let select = db.selectFrom('import_mapping').selectAll().where('operation_id', '=', operationId);
    if (query.kind !== undefined) select = select.where('kind', '=', query.kind);
    return inIdOrder(select, query, 'desc').execute();
  }

  /** Those in force for a kind of file, by shape. */
  async inForce({ db, operationId }: OperationTenant, kind: ImportKindCode): Promise<Map<string, ImportMappingRow>> {
    const rows = await db
      .selectFrom('import_mapping')
      .selectAll()
      .distinctOn('shape')
      .where('operation_id', '=', operationId)
      .where('kind', '=', kind)
      .orderBy('shape')
      .orderBy('id', 'desc')
      .execute();
    return new Map(rows.map((row) => [row.shape, row]));
  }
}
