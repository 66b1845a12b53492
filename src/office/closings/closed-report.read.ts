import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import { together } from '../../platform/database/together.js';
import type { DB, OperationTenant, Words } from '../../platform/database/types.js';
import { notFound } from '../../platform/http/problem.js';
import type { UnitSystem } from '../../platform/wire/quantity.schema.js';
import type { Flag } from '../report.schema.js';

export type ClosedReportRow = Selectable<DB['closed_report']>;

/** Which report, and over which days; without `from`, of the last of them. */
interface Asked {
  name: Words['ClosedReport'];
  units: UnitSystem;
  span: { from?: string | undefined; until: string };
}

/** What a report says of its closing. */
interface Closed {
  closed: { closingId: string; closedAt: string; sha256: string };
}

const ENTRIES_AT_ONCE = 500;

/** Reports of closed periods, as stored on the day of closing. */
@Injectable()
export class ClosedReportRead {
  #cursors = 0;

  /**
   * A report over some days: the one that was stored with their closing, else as it is worked out now. That one says
   * which days a closing has instead, where only days before all entries keep it from being the stored one.
   * @param workedOut what is done with what was read for it
   * @param read what the report is made of, asked for in the same round trip
   */
  async orWorkedOut<Report extends { flags: Flag[] }, Read = undefined>(
    tenant: OperationTenant,
    { name, units, span }: Asked,
    workedOut: (read: Read) => Promise<Omit<Report, 'closed'>>,
    read?: () => Promise<Read>,
  ): Promise<Report | (Omit<Report, 'closed'> & { closed: null })> {
    const [stored, other, found] = await together(
      this.find<Report>(tenant, name, units, span),
      this.otherDays(tenant, span),
      read?.() ?? Promise.resolve(undefined),
    );
    if (stored !== undefined) return stored;
    const report = await workedOut(found as Read);
    return { ...report, flags: [...report.flags, ...other], closed: null };
  }

  /** A flag of the first closing, where it ends with these days and they begin before all entries. */
  async otherDays(
    { db, operationId }: OperationTenant,
    { from, until }: { from?: string | undefined; until: string },
  ): Promise<Flag[]> {
    if (from === undefined) return [];
    const { rows } = await sql<{ id: string; from: string }>`
      SELECT c.id, c.from_on AS "from" FROM book_closing c
       WHERE c.operation_id = ${operationId} AND c.until_on = ${until}::date AND c.from_on > ${from}::date
         AND NOT EXISTS (SELECT 1 FROM book_reopening r
           WHERE r.operation_id = c.operation_id AND r.book_closing_id = c.id)
         AND NOT EXISTS (SELECT 1 FROM book_closing o
           WHERE o.operation_id = c.operation_id AND o.until_on < c.from_on AND NOT EXISTS (
             SELECT 1 FROM book_reopening r WHERE r.operation_id = o.operation_id AND r.book_closing_id = o.id))
    `.execute(db);
    return rows.map((closing) => ({
      code: 'closing-has-other-days',
      message:
        `Worked out from the books as they are now. They begin on ${closing.from}, and so does closing ` +
        `${closing.id}, which ends with these days: from=${closing.from}&until=${until} gives what was stored with it.`,
    }));
  }

  /** The stored report over exactly this closed period (or up to its last day), if there is one in force. */
  async find<Report>(
    tenant: OperationTenant,
    name: Words['ClosedReport'],
    units: UnitSystem,
    span: { from?: string | undefined; until: string },
  ): Promise<Report | undefined> {
    const stored = await over(inForce(tenant, name, units), span)
      .select('closed_report.body')
      .executeTakeFirst();
    return reportOf<Report>(stored);
  }

  /** The stored report of the closed period in which a day is, if there is one in force. */
  async covering<Report>(
    tenant: OperationTenant,
    name: Words['ClosedReport'],
    units: UnitSystem,
    day: string,
  ): Promise<Report | undefined> {
    const stored = await inForce(tenant, name, units)
      .select('closed_report.body')
      .where('book_closing.from_on', '<=', day)
      .where('book_closing.until_on', '>=', day)
      .executeTakeFirst();
    return reportOf<Report>(stored);
  }

  /** Some fields of such a report without the rest, which may be long: `entries` as they are taken, in their order. */
  async findLong<Report extends object, Entry>(
    tenant: OperationTenant,
    asked: { name: Words['ClosedReport']; units: UnitSystem; span: { from: string; until: string } },
    fields: readonly (keyof Report & string)[],
  ): Promise<(Report & Closed & { entries: (after?: EntryPlace) => AsyncGenerator<Entry> }) | undefined> {
    const told = fields.map((field) => sql`${sql.lit(field)}, closed_report.body::json -> ${sql.lit(field)}`);
    const stored = await over(inForce(tenant, asked.name, asked.units), asked.span)
      .select(sql<unknown>`json_build_object(${sql.join(told)})`.as('told'))
      .executeTakeFirst();
    if (stored === undefined) return undefined;
    const entries = (after?: EntryPlace): AsyncGenerator<Entry> =>
      this.#entries<Entry>(tenant, { ...asked, closingId: stored.id }, after);
    return { ...(stored.told as Report), ...closedBy(stored), entries };
  }

  /** Entries of a day or after it come by `on`; those after an entry of that day, by their order. */
  async *#entries<Entry>(
    { db, operationId }: OperationTenant,
    { name, units, closingId }: { name: Words['ClosedReport']; units: UnitSystem; closingId: string },
    after: EntryPlace | undefined,
  ): AsyncGenerator<Entry> {
    const { on = null, entryId = null } = after ?? {};
    // A name of its own for each, since somebody may take the same once more in one transaction.
    const cursor = sql.ref(`entries_${(this.#cursors += 1)}`);
    await sql`DECLARE ${cursor} NO SCROLL CURSOR FOR
      WITH entry AS (
        SELECT value, n, value ->> 'on' AS day, value ->> 'entryId' AS id FROM closed_report r,
          json_array_elements(r.body::json -> 'entries') WITH ORDINALITY AS e (value, n)
         WHERE r.operation_id = ${operationId} AND r.book_closing_id = ${closingId} AND r.name = ${name}
           AND r.units = ${units})
      SELECT value FROM entry
       WHERE ${on}::text IS NULL OR day > ${on}
          OR day = ${on} AND n > (SELECT n FROM entry WHERE id = ${entryId}::text AND day = ${on})
       ORDER BY n`.execute(db);
    for (;;) {
      const { rows } = await sql<{ value: Entry }>`FETCH FORWARD ${sql.lit(ENTRIES_AT_ONCE)} FROM ${cursor}`.execute(
        db,
      );
      for (const { value } of rows) yield value;
      if (rows.length < ENTRIES_AT_ONCE) return;
    }
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

/** Where in a report a reader stands. */
export interface EntryPlace {
  on: string;
  entryId: string;
}

/** A stored report whose closing stands, with what is said of that. */
function inForce({ db, operationId }: OperationTenant, name: Words['ClosedReport'], units: UnitSystem) {
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
    .select(['closed_report.sha256', 'book_closing.id', 'book_closing.recorded_at'])
    .where('closed_report.operation_id', '=', operationId)
    .where('closed_report.name', '=', name)
    .where('closed_report.units', '=', units)
    .where('book_reopening.recorded_at', 'is', null);
}

/** That over exactly some days, or up to the last of them. */
function over(
  select: ReturnType<typeof inForce>,
  { from, until }: { from?: string | undefined; until: string },
): ReturnType<typeof inForce> {
  const ending = select.where('book_closing.until_on', '=', until);
  return from === undefined ? ending : ending.where('book_closing.from_on', '=', from);
}

function reportOf<Report>(stored: (StoredClosing & { body: string }) | undefined): Report | undefined {
  return stored === undefined ? undefined : ({ ...(JSON.parse(stored.body) as object), ...closedBy(stored) } as Report);
}

interface StoredClosing {
  id: string;
  recorded_at: string;
  sha256: string;
}

function closedBy(stored: StoredClosing): Closed {
  return { closed: { closingId: stored.id, closedAt: stored.recorded_at, sha256: stored.sha256 } };
}
