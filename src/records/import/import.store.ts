import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import { insertRows } from '../../platform/database/rows.js';
import type { OperationTenant, SubjectRef } from '../../platform/database/types.js';
import { newId } from '../../platform/identifiers.js';
import { nameKey } from '../../core/units/name-key.js';
import type { ImportedFile, ImportRow } from './import.read.js';

/** A record that an import made, and the row of the file that it was made from. */
export interface MadeRecord extends SubjectRef {
  row: number;
}

export interface Savepoint {
  keep(): Promise<void>;
  undo(): Promise<void>;
  planAnew(): Promise<void>;
}

@Injectable()
export class ImportStore {
  async begin(
    { db, operationId, personId }: OperationTenant,
    { kind, fileSha256, rowCount }: ImportedFile & { rowCount: number },
    now: string,
  ): Promise<ImportRow> {
    return db
      .insertInto('data_import')
      .values({
        operation_id: operationId,
        id: newId(),
        kind,
        file_sha256: fileSha256,
        state: 'running',
        row_count: rowCount,
        rows_done: 0,
        record_count: 0,
        started_at: now,
        moved_at: now,
        recorded_by: personId,
      })
      .returningAll()
      .executeTakeFirstOrThrow();
  }

  /** Progress of a running import. */
  async move({ db, operationId }: OperationTenant, id: string, rowsDone: number, now: string): Promise<void> {
    await db
      .updateTable('data_import')
      .set({ rows_done: rowsDone, moved_at: now })
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .where('state', '=', 'running')
      .execute();
  }

  /** Marks a running import as failed. */
  async end(
    { db, operationId }: OperationTenant,
    id: string,
    state: 'refused' | 'broken-off',
    now: string,
  ): Promise<void> {
    await db
      .updateTable('data_import')
      .set({ state, moved_at: now })
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .where('state', '=', 'running')
      .execute();
  }

  async finish(
    { db, operationId }: OperationTenant,
    { id, row_count: rowsDone }: ImportRow,
    { made, skipped, readBy }: { made: readonly MadeRecord[]; skipped: number; readBy: string | undefined },
    now: string,
  ): Promise<ImportRow> {
    const row = await db
      .updateTable('data_import')
      .set({
        state: 'done',
        rows_done: rowsDone,
        record_count: made.length,
        skipped_count: skipped,
        import_mapping_id: readBy ?? null,
        moved_at: now,
      })
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .returningAll()
      .executeTakeFirstOrThrow();
    await insertRows(
      db,
      'data_import_record',
      made.map((one) => ({
        operation_id: operationId,
        data_import_id: id,
        row_number: one.row,
        subject_kind: one.kind,
        subject_id: one.id,
      })),
    );
    return row;
  }

  /** Locks a running import until the transaction ends; undefined if the import has ended. */
  async hold({ db, operationId }: OperationTenant, id: string): Promise<ImportRow | undefined> {
    return db
      .selectFrom('data_import')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .where('state', '=', 'running')
      .forUpdate()
      .executeTakeFirst();
  }

  /** Two requests with the same file, begun at once: the second waits here and then finds the entry of the first. */
  async holdBeginning({ db, operationId }: OperationTenant, { kind, fileSha256 }: ImportedFile): Promise<void> {
    await sql`SELECT pg_advisory_xact_lock(hashtextextended(${`${operationId} ${kind} ${fileSha256}`}, 741))`.execute(
      db,
    );
  }

  /** Two requests with the same file: the second waits here and then finds the first. */
  async holdFile({ db, operationId }: OperationTenant, { kind, fileSha256 }: ImportedFile): Promise<void> {
    await sql`SELECT pg_advisory_xact_lock(hashtextextended(${`${operationId} ${kind} ${fileSha256}`}, 730))`.execute(
      db,
    );
  }

  /**
   * Locks every lot and herd of the operation that the file may touch, at once and in one order, so that two writers
   * never deadlock.
   */
  async holdLotsAndHerds({ db, operationId }: OperationTenant, named: ReadonlySet<string>): Promise<void> {
    const rows = [
      ...(await db
        .selectFrom('hay_lot')
        .select(['id', 'name', sql<number>`727`.as('space')])
        .where('operation_id', '=', operationId)
        .orderBy('id')
        .execute()),
      ...(await db
        .selectFrom('herd')
        .select(['id', 'name', sql<number>`728`.as('space')])
        .where('operation_id', '=', operationId)
        .orderBy('id')
        .execute()),
    ];
    const alike = new Set([...named].map(nameKey));
    for (const { id, name, space } of rows) {
      if (alike.has(id) || alike.has(nameKey(name)))
        await sql`SELECT pg_advisory_xact_lock(hashtextextended(${id}, ${space}))`.execute(db);
    }
  }

  /**
   * Each record of a file is written behind a savepoint: `keep` after one that was written, `undo` after one that was
   * refused.
   */
  async savepoint({ db }: OperationTenant): Promise<Savepoint> {
    await sql`SAVEPOINT one_record`.execute(db);
    return {
      // Two statements in one round trip: what was written stays, and the next record gets its own savepoint.
      keep: async () => void (await sql`RELEASE SAVEPOINT one_record; SAVEPOINT one_record`.execute(db)),
      // The database keeps its plans of how to check a reference, and one made while a table was empty goes through all
      // of it for each row.
      planAnew: async () => void (await sql`DISCARD PLANS`.execute(db)),
      undo: async () => void (await sql`ROLLBACK TO SAVEPOINT one_record`.execute(db)),
    };
  }
}
