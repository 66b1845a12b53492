import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import { z } from 'zod';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { type PageAsked, readCursor } from '../../platform/http/cursor.js';
import { notFound } from '../../platform/http/problem.js';
import type { ClosingRow } from '../../records/kit/posting.read.js';

export type ReopeningRow = Selectable<DB['book_reopening']>;

@Injectable()
export class ClosingRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<ClosingRow> {
    const row = await db
      .selectFrom('book_closing')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('closed period');
    return row;
  }

  /** Newest first, including reopened ones. */
  async page({ db, operationId }: OperationTenant, query: PageAsked): Promise<ClosingRow[]> {
    let select = db
      .selectFrom('book_closing')
      .selectAll()
      .where('operation_id', '=', operationId)
      .orderBy('id', 'desc')
      .limit(query.limit + 1);
    if (query.cursor !== undefined) select = select.where('id', '<', readCursor(query.cursor, z.tuple([z.uuid()]))[0]);
    return select.execute();
  }

  async reopeningsOf({ db, operationId }: OperationTenant, closingIds: readonly string[]): Promise<ReopeningRow[]> {
    if (closingIds.length === 0) return [];
    return db
      .selectFrom('book_reopening')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('book_closing_id', 'in', [...closingIds])
      .execute();
  }

  /** The first day that any entry in the books is dated. */
  async firstDay({ db, operationId }: OperationTenant): Promise<string | undefined> {
    const { rows } = await sql<{ first: string | null }>`
      SELECT LEAST((SELECT min(effective_on) FROM stock_movement
        WHERE operation_id = ${operationId}), (SELECT min(happened_on) FROM head_change
        WHERE operation_id = ${operationId})) AS first`.execute(db);
    return rows[0]?.first ?? undefined;
  }
}
