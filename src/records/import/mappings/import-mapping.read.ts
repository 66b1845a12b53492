import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { inIdOrder } from '../../../platform/database/id-order.js';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import type { PageAsked } from '../../../platform/http/cursor.js';
import { notFound } from '../../../platform/http/problem.js';
import type { ImportKindCode } from '../import-kind.js';

type Row = Selectable<DB['import_mapping']>;
/** A saved reading with the name of who saved it (null to a key that sees no people), and its end. */
export type ImportMappingRow = Row & {
  recorded_by_name: string | null;
  recorded_by_proven_at: string | null;
  ended_at: string | null;
  ended_by: string | null;
};

@Injectable()
export class ImportMappingRead {
  async one(tenant: OperationTenant, id: string): Promise<ImportMappingRow> {
    const row = await saved(tenant).where('import_mapping.id', '=', id).executeTakeFirst();
    if (row === undefined) throw notFound('import mapping', id);
    return row;
  }

  async page(
    tenant: OperationTenant,
    query: PageAsked & { kind?: ImportKindCode | undefined },
  ): Promise<ImportMappingRow[]> {
    let select = saved(tenant);
    if (query.kind !== undefined) select = select.where('import_mapping.kind', '=', query.kind);
    return inIdOrder(select, query, 'desc', 'import_mapping.id').execute();
  }

  async some(tenant: OperationTenant, ids: readonly (string | null)[]): Promise<Map<string | null, ImportMappingRow>> {
    const asked = ids.filter((id) => id !== null);
    if (asked.length === 0) return new Map();
    const rows = await saved(tenant).where('import_mapping.id', 'in', asked).execute();
    return new Map(rows.map((row) => [row.id, row]));
  }

  /** Those in force for a kind of file, by shape: the newest, unless it was ended. */
  async inForce(tenant: OperationTenant, kind: ImportKindCode): Promise<Map<string, ImportMappingRow>> {
    const rows = await saved(tenant)
      .distinctOn('import_mapping.shape')
      .where('import_mapping.kind', '=', kind)
      .orderBy('import_mapping.shape')
      .orderBy('import_mapping.id', 'desc')
      .execute();
    return new Map(rows.filter((row) => row.ended_at === null).map((row) => [row.shape, row]));
  }
}

function saved({ db, operationId }: OperationTenant) {
  return db
    .selectFrom('import_mapping')
    .leftJoin('person', 'person.id', 'import_mapping.recorded_by')
    .leftJoin('import_mapping as end', (join) =>
      join.onRef('end.operation_id', '=', 'import_mapping.operation_id').onRef('end.ends_id', '=', 'import_mapping.id'),
    )
    .selectAll('import_mapping')
    .select([
      'person.name as recorded_by_name',
      'person.email_proven_at as recorded_by_proven_at',
      'end.recorded_at as ended_at',
      'end.recorded_by as ended_by',
    ])
    .where('import_mapping.operation_id', '=', operationId)
    .where('import_mapping.ends_id', 'is', null);
}
