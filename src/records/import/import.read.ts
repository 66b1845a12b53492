import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import { inIdOrder } from '../../platform/database/id-order.js';
import type { DB, OperationTenant, Words } from '../../platform/database/types.js';
import type { PageAsked } from '../../platform/http/cursor.js';
import { notFound } from '../../platform/http/problem.js';
import { notReversed } from '../kit/not-reversed.read.js';

export type ImportRow = Selectable<DB['data_import']>;

/** Files of these kinds hold prices: with the rest of a row, which everybody reads, their hash tells the price. */
export const PRICED_KINDS: ReadonlySet<Words['ImportKind']> = new Set([
  'hay-tickets',
  'head-changes',
  'harvests',
  'hay-sales',
  'late-costs',
  'yardage-rates',
]);

/** May the asker learn which text a file of this kind has, so by its hash or by what is the same? */
export function mayKnowText(tenant: OperationTenant, kind: Words['ImportKind']): boolean {
  return !PRICED_KINDS.has(kind) || tenant.may('prices', tenant.operationId);
}

/** Identifies a file: its kind and its hash. */
export interface ImportedFile {
  readonly kind: Words['ImportKind'];
  readonly fileSha256: string;
}

/** Earlier imports of a file: the newest, the rows whose records were not reversed, and whether these are all of it. */
export interface EarlierImport {
  readonly newest: ImportRow | undefined;
  readonly whole: boolean;
  readonly standing: ReadonlySet<number>;
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

  /**
   * What earlier imports of this same file left standing: for those who may not know its text, their own imports only,
   * or prices could be tried until one is the same.
   */
  async earlier(tenant: OperationTenant, { kind, fileSha256 }: ImportedFile): Promise<EarlierImport> {
    const { db, operationId, personId } = tenant;
    const ofAnybody = db
      .selectFrom('data_import')
      .where('data_import.operation_id', '=', operationId)
      .where('data_import.kind', '=', kind)
      .where('data_import.file_sha256', '=', fileSha256)
      .where('data_import.state', '=', 'done');
    const done = mayKnowText(tenant, kind) ? ofAnybody : ofAnybody.where('data_import.recorded_by', '=', personId);
    const newest = await done.selectAll().orderBy('id', 'desc').limit(1).executeTakeFirst();
    if (newest === undefined) return { newest, whole: false, standing: new Set() };
    const rows = await done
      .innerJoin('data_import_record as made', (join) =>
        join
          .onRef('made.operation_id', '=', 'data_import.operation_id')
          .onRef('made.data_import_id', '=', 'data_import.id'),
      )
      // Head changes are reversed by a row of their own.
      .leftJoin('head_change as undone', (join) =>
        join.onRef('undone.operation_id', '=', 'made.operation_id').onRef('undone.reverses_id', '=', 'made.subject_id'),
      )
      .select([
        'made.row_number',
        sql<boolean>`bool_or(undone.id IS NULL AND ${notReversed('made', { id: 'subject_id' })})`.as('stands'),
      ])
      .groupBy('made.row_number')
      .execute();
    const standing = new Set(rows.filter((row) => row.stands).map((row) => row.row_number));
    return { newest, whole: standing.size === rows.length && newest.skipped_count === 0, standing };
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

  /** All that an import wrote, in the order of the file. */
  async made({ db, operationId }: OperationTenant, importId: string): Promise<{ row: number; id: string }[]> {
    return db
      .selectFrom('data_import_record')
      .select(['row_number as row', 'subject_id as id'])
      .where('operation_id', '=', operationId)
      .where('data_import_id', '=', importId)
      .orderBy('row_number')
      .execute();
  }

  /** The lots that these records tell of. */
  async lotIds({ db, operationId }: OperationTenant, recordIds: readonly string[]): Promise<string[]> {
    const lotsOf = (table: 'lab_test' | 'hay_observation' | 'hay_purchase') =>
      db
        .selectFrom(table)
        .select(`${table}.hay_lot_id`)
        .where(`${table}.operation_id`, '=', operationId)
        .where(`${table}.id`, '=', sql<string>`ANY (${[...recordIds]}::uuid[])`);
    const rows = await lotsOf('lab_test').union(lotsOf('hay_observation')).union(lotsOf('hay_purchase')).execute();
    return rows.map((row) => row.hay_lot_id);
  }
}
