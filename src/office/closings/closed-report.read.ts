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
    tenant: OperationTenant,
    name: Words['ClosedReport'],
    units: UnitSystem,
    span: { from?: string; until: string },
  ): Promise<Report | undefined> {
    let select = this.#inForce(tenant, name, units).where('book_closing.until_on', '=', span.until);
    if (span.from !== undefined) select = select.where('book_closing.from_on', '=', span.from);
    return reportOf<Report>(await select.executeTakeFirst());
  }

  /** The stored report of the closed period in which a day is, if there is one in force. */
  async covering<Report>(
    tenant: OperationTenant,
    name: Words['ClosedReport'],
    units: UnitSystem,
    day: string,
  ): Promise<Report | undefined> {
    const select = this.#inForce(tenant, name, units)
      .where('book_closing.from_on', '<=', day)
      .where('book_closing.until_on', '>=', day);
    return reportOf<Report>(await select.executeTakeFirst());
  }

  #inForce({ db, operationId }: OperationTenant, name: Words['ClosedReport'], units: UnitSystem) {
    return db
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
      .where('book_reopening.recorded_at', 'is', null);
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

interface StoredRow {
  body: string;
  sha256: string;
  id: string;
  recorded_at: string;
}

function reportOf<Report>(stored: StoredRow | undefined): Report | undefined {
  return stored === undefined
    ? undefined
    : ({
        ...(JSON.parse(stored.body) as object),
        closed: { closingId: stored.id, closedAt: stored.recorded_at, sha256: stored.sha256 },
      } as Report);
}
