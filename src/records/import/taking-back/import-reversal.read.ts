import { Injectable } from '@nestjs/common';
import { type RawBuilder, type Selectable, sql } from 'kysely';
import type { DB, OperationTenant, Words } from '../../../platform/database/types.js';
import type { RecordKind } from '../../../platform/wire/record-kinds.data.js';
import { notReversed } from '../../kit/not-reversed.read.js';

export type ImportReversalRow = Selectable<DB['data_import_reversal']>;

/** A record that an import made and nobody has reversed: its row in the file and its day. */
export interface StandingRecord {
  readonly row: number;
  readonly kind: RecordKind | 'head-change';
  readonly id: string;
  readonly on: string;
}

/** An entry that stands in the place of a row, which it corrects, by itself or through others. */
export interface CorrectingEntry {
  readonly row: number;
  readonly kind: string;
  readonly id: string;
}

/** An entry, not of the import, that takes from what the import brought. */
export interface RestingEntry {
  readonly kind: string;
  readonly id: string;
  readonly on: string;
}

/** More are not named: whoever reverses these sees the rest then. */
const RESTING_NAMED = 20;

@Injectable()
export class ImportReversalRead {
  /** By the id of the import. */
  async of(
    { db, operationId }: OperationTenant,
    importIds: readonly string[],
  ): Promise<ReadonlyMap<string, ImportReversalRow>> {
    if (importIds.length === 0) return new Map();
    const rows = await db
      .selectFrom('data_import_reversal')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('data_import_id', 'in', [...importIds])
      .execute();
    return new Map(rows.map((row) => [row.data_import_id, row]));
  }

  /** In the order of the file. */
  async standing(tenant: OperationTenant, importId: string): Promise<StandingRecord[]> {
    const { db, operationId } = tenant;
    const made = await db
      .selectFrom('data_import_record as made')
      .leftJoin('head_change as undone', (join) =>
        join.onRef('undone.operation_id', '=', 'made.operation_id').onRef('undone.reverses_id', '=', 'made.subject_id'),
      )
      .select(['made.row_number as row', 'made.subject_kind as kind', 'made.subject_id as id'])
      .where('made.operation_id', '=', operationId)
      .where('made.data_import_id', '=', importId)
      .where('undone.id', 'is', null)
      .where(notReversed('made', { id: 'subject_id' }))
      .orderBy('made.row_number')
      .execute();
    const days = new Map<string, string>();
    for (const kind of new Set(made.map((one) => one.kind)))
      for (const { id, on } of await this.#days(
        tenant,
        kind,
        made.filter((one) => one.kind === kind).map(({ id }) => id),
      ))
        days.set(id, on);
    return made.flatMap(({ row, kind, id }) => {
      const on = days.get(id);
      return kind === 'reversal' || on === undefined ? [] : [{ row, kind, id, on }];
    });
  }

  /** What was entered since in the place of its rows and stands, in the order of the file. */
  async correcting({ db, operationId }: OperationTenant, importId: string): Promise<CorrectingEntry[]> {
    const { rows } = await sql<CorrectingEntry>`
      WITH RECURSIVE correcting AS (
        SELECT made.row_number, c.operation_id, c.subject_id, c.subject_kind
          FROM data_import_record made
          JOIN entry_correction c ON c.operation_id = made.operation_id AND c.corrects_id = made.subject_id
         WHERE made.operation_id = ${operationId}::uuid AND made.data_import_id = ${importId}::uuid
        UNION
        SELECT before.row_number, c.operation_id, c.subject_id, c.subject_kind
          FROM correcting before
          JOIN entry_correction c ON c.operation_id = before.operation_id AND c.corrects_id = before.subject_id
         WHERE c.operation_id = ${operationId}::uuid
      )
      SELECT c.row_number AS row, c.subject_kind AS kind, c.subject_id AS id FROM correcting c
       WHERE ${notReversed('c', { id: 'subject_id' })} AND NOT EXISTS (
         SELECT 1 FROM head_change h WHERE h.operation_id = c.operation_id
           AND (h.reverses_id = c.subject_id OR h.id = c.subject_id AND h.reverses_id IS NOT NULL))
       ORDER BY c.row_number, c.subject_id`.execute(db);
    return rows;
  }

  /** Those of these records that have a movement in this lot. */
  async inLot({ db, operationId }: OperationTenant, lotId: string, ids: readonly string[]): Promise<Set<string>> {
    const rows = await db
      .selectFrom('stock_movement')
      .select('source_id')
      .distinct()
      .where('operation_id', '=', operationId)
      .where('hay_lot_id', '=', lotId)
      .where('source_id', '=', anyOf(ids))
      .execute();
    return new Set(rows.map((row) => row.source_id));
  }

  /** What else draws on a lot, newest first. */
  async drawing({ db, operationId }: OperationTenant, lotId: string, but: readonly string[]): Promise<RestingEntry[]> {
    return db
      .selectFrom('stock_movement')
      .select(['source_kind as kind', 'source_id as id', 'effective_on as on'])
      .where('operation_id', '=', operationId)
      .where('hay_lot_id', '=', lotId)
      .where('kilograms', '<', '0')
      .where('kind', '<>', 'reversal')
      .where((e) => e.not(e('source_id', '=', anyOf(but))))
      .where(notReversed('stock_movement', { id: 'source_id' }))
      .groupBy(['source_kind', 'source_id', 'effective_on'])
      .orderBy('effective_on', 'desc')
      .orderBy('source_id')
      .limit(RESTING_NAMED)
      .execute();
  }

  /** Those of these head changes that have a side in this herd. */
  async inHerd({ db, operationId }: OperationTenant, herdId: string, ids: readonly string[]): Promise<Set<string>> {
    const rows = await db
      .selectFrom('head_change')
      .select('id')
      .where('operation_id', '=', operationId)
      .where('id', '=', anyOf(ids))
      .where((e) => e.or([e('herd_id', '=', herdId), e('other_herd_id', '=', herdId)]))
      .execute();
    return new Set(rows.map((row) => row.id));
  }

  /** What else takes head out of a herd, newest first. */
  async leaving({ db, operationId }: OperationTenant, herdId: string, but: readonly string[]): Promise<RestingEntry[]> {
    return db
      .selectFrom('head_change as left')
      .leftJoin('head_change as undone', (join) =>
        join.onRef('undone.operation_id', '=', 'left.operation_id').onRef('undone.reverses_id', '=', 'left.id'),
      )
      .select(['left.kind', 'left.id', 'left.happened_on as on'])
      .where('left.operation_id', '=', operationId)
      .where('left.herd_id', '=', herdId)
      .where('left.head', '<', 0)
      .where('left.kind', '<>', 'reversal')
      .where('undone.id', 'is', null)
      .where((e) => e.not(e('left.id', '=', anyOf(but))))
      .orderBy('left.happened_on', 'desc')
      .orderBy('left.id')
      .limit(RESTING_NAMED)
      .execute();
  }

  async #days(
    { db, operationId }: OperationTenant,
    kind: Words['SubjectKind'],
    ids: readonly string[],
  ): Promise<{ id: string; on: string }[]> {
    const day = kind === 'lab-test' ? 'sampled_on' : kind === 'yardage-rate' ? 'from_on' : 'happened_on';
    const { rows } = await sql<{ id: string; on: string }>`
      SELECT id, ${sql.ref(day)} AS on FROM ${sql.table(kind.replaceAll('-', '_'))}
       WHERE operation_id = ${operationId}::uuid AND id = ${anyOf(ids)}`.execute(db);
    return rows;
  }
}

function anyOf(ids: readonly string[]): RawBuilder<string> {
  return sql<string>`ANY (${[...ids]}::uuid[])`;
}
