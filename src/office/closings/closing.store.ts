import { createHash } from 'node:crypto';
import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import { type NewRow, recordStamp } from '../../platform/database/rows.js';
import type { OperationTenant, Words } from '../../platform/database/types.js';
import type { UnitSystem } from '../../platform/wire/quantity.schema.js';
import type { ClosingRow } from '../../records/kit/posting.read.js';

@Injectable()
export class ClosingStore {
  /**
   * Takes the books alone until the transaction ends: waits for entries that have begun, and later ones wait for it.
   */
  async holdBooks({ db, operationId }: OperationTenant): Promise<void> {
    await sql`SELECT pg_advisory_xact_lock(hashtextextended(${operationId}, 730))`.execute(db);
  }

  async insert(tenant: OperationTenant, closing: NewRow<'book_closing'>): Promise<ClosingRow> {
    return tenant.db
      .insertInto('book_closing')
      .values({ ...closing, ...recordStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
  }

  async reopen(
    { db, operationId, moment, personId }: OperationTenant,
    closingId: string,
    reason: string,
  ): Promise<void> {
    await db
      .insertInto('book_reopening')
      .values({
        operation_id: operationId,
        book_closing_id: closingId,
        reason,
        recorded_at: moment.toISOString(),
        recorded_by: personId,
      })
      .execute();
  }

  /** Stores a report with its hash, as it reads on the day of closing. */
  async keepReport(
    { db, operationId }: OperationTenant,
    closingId: string,
    name: Words['ClosedReport'],
    units: UnitSystem,
    report: object,
  ): Promise<void> {
    const body = JSON.stringify(report);
    await db
      .insertInto('closed_report')
      .values({
        operation_id: operationId,
        book_closing_id: closingId,
        name,
        units,
        body,
        sha256: createHash('sha256').update(body).digest('hex'),
      })
      .execute();
  }
}
