import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import type { DB, OperationTenant, Words } from '../../platform/database/types.js';
import { notFound } from '../../platform/http/problem.js';
import type { UnitSystem } from '../../platform/wire/quantity.schema.js';

export type ClosedReportRow = Selectable<DB['closed_report']>;

/** Reports of closed periods, as stored on the day of closing. */
@Injectable()
export class ClosedReportRead {
  /** The stored report over exactly this closed period (or up to its last day), if there is one in force. */
  async find<Report>(
    { db, operationId }: OperationTenant,
    name: Words['ClosedReport'],
    units: UnitSystem,
    span: { from?: string; until: string },
  ): Promise<Report | undefined> {
    let select = db
      .selectFrom('closed_report')
      .innerJoin('book_closing', (join) =>
        join
          .onRef('book_closing.operation_id', '=', 'closed_report.operation_id')
          .onRef('book_closing.id', '=', 'closed_report.book_closing_id'),
      )
      .leftJoin('book_reopening', (join) =>
        join
          .onRef('book_reopening.operation_id', '=', 'book_closing.operation_id')
          .onRef('book_reopening.book_closing_id', '=', 'book_closing.id'),
      )
      .select(['closed_report.body', 'closed_report.sha256', 'book_closing.id', 'book_closing.recorded_at'])
      .where('closed_report.operation_id', '=', operationId)
      .where('closed_report.name', '=', name)
      .where('closed_report.units', '=', units)
      .where('book_closing.until_on', '=', span.until)
      .where('book_reopening.recorded_at', 'is', null);
    if (span.from !== undefined) select = select.where('book_closing.from_on', '=', span.from);
    const stored = await select.executeTakeFirst();
    if (stored === undefined) return undefined;
    return {
      ...(JSON.parse(stored.body) as object),
      closed: { closingId: stored.id, closedAt: stored.recorded_at, sha256: stored.sha256 },
    } as Report;
  }

  /** One stored report of a closing, byte for byte. */
  async one(
    { db, operationId }: OperationTenant,
    closingId: string,
    name: Words['ClosedReport'],
    units: UnitSystem,
  ): Promise<ClosedReportRow> {
    const stored = await db
      .selectFrom('closed_report')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('book_closing_id', '=', closingId)
      .where('name', '=', name)
      .where('units', '=', units)
      .executeTakeFirst();
    if (stored === undefined) throw notFound('stored report');
    return stored;
  }

  /** The list of reports stored with these closings, without their content. */
  async listOf(
    { db, operationId }: OperationTenant,
    closingIds: readonly string[],
  ): Promise<Pick<ClosedReportRow, 'book_closing_id' | 'name' | 'units' | 'sha256'>[]> {
    if (closingIds.length === 0) return [];
    return db
      .selectFrom('closed_report')
      .select(['book_closing_id', 'name', 'units', 'sha256'])
      .where('operation_id', '=', operationId)
      .where('book_closing_id', 'in', [...closingIds])
      .orderBy('name')
      .orderBy('units')
      .execute();
  }
}
