import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import { z } from 'zod';
import { DEFAULT_WEIGHING_WINDOW_DAYS } from '../../core/gain/cost-of-gain.js';
import { addDays } from '../../core/herd/calendar-day.js';
import { SEASON_GROUPS } from '../../core/season/season-cost.js';
import { dayIn } from '../../platform/clock.js';
import { Database } from '../../platform/database/database.js';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { pageOf, readCursor } from '../../platform/http/cursor.js';
import type { AnswerOf, CallOf } from '../../platform/http/endpoint.js';
import { notFound, Problem, ruleBroken } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import { lastClosing } from '../../records/stock/posting.js';
import { costOfGainReport } from '../cost-of-gain/cost-of-gain.schema.js';
import { CostOfGainService } from '../cost-of-gain/cost-of-gain.service.js';
import { hayPositionReport } from '../hay-position/hay-position.schema.js';
import { HayPositionService } from '../hay-position/hay-position.service.js';
import { journalReport, trialBalanceReport, varianceReport } from '../journal/journal.schema.js';
import { JournalService } from '../journal/journal.service.js';
import { spanOf } from '../report-period.js';
import { seasonCostReport } from '../season-cost/season-cost.schema.js';
import { SeasonCostService } from '../season-cost/season-cost.service.js';
import { ClosedReports } from './closed-reports.js';
import type * as api from './closing.schema.js';

type Answer = AnswerOf<typeof api.getClosing>;
type Row = Selectable<DB['book_closing']>;

const UNITS = ['us', 'metric'] as const;

/** Periods of the books are closed one after the other. */
@Injectable()
export class ClosingService {
  constructor(
    private readonly database: Database,
    private readonly seasonCost: SeasonCostService,
    private readonly costOfGain: CostOfGainService,
    private readonly hayPosition: HayPositionService,
    private readonly journal: JournalService,
    private readonly reports: ClosedReports,
  ) {}

  async close({ asker, params, body }: CallOf<typeof api.closeBooks>): Promise<Answer> {
    return this.database.writeIn(asker, params.operationId, async (tenant) => {
      const { db, operationId, operation, moment } = tenant;
      // Alone: entries that have begun are waited for, others wait; what is in the stored reports is all that there is.
      await sql`SELECT pg_advisory_xact_lock(hashtextextended(${operationId}, 730))`.execute(db);
      if (!tenant.may('prices', operationId)) throw new Problem('not-permitted', 'A closing stores what the hay cost; that needs the permission "prices".');
      const today = dayIn(operation.timeZone, moment);
      if (body.until >= today) throw ruleBroken('#/until', 'period-not-over', body.until, `before ${today}`, 'A period is closed when its last day is over.');
      const last = await lastClosing(tenant);
      if (last !== undefined && body.until <= last.until_on) throw ruleBroken('#/until', 'closed-already', body.until, `after ${last.until_on}`, `The books are closed up to ${last.until_on}.`);
      const from = last === undefined ? await this.#firstDay(tenant) ?? body.until : addDays(last.until_on, 1);
      if (from > body.until) throw ruleBroken('#/until', 'nothing-to-close', body.until, `${from} or later`, `The books begin on ${from}.`);
      spanOf({ from, until: body.until });
      const row = await db.insertInto('book_closing').values({
        operation_id: operationId, id: newId(), from_on: from, until_on: body.until, costing_method: operation.costingMethod, note: body.note ?? null, recorded_at: moment.toISOString(), recorded_by: tenant.personId,
      }).returningAll().executeTakeFirstOrThrow();
      await this.#store(tenant, row);
      await tenant.audit({ action: 'books.close', subjectKind: 'book-closing', subjectId: row.id, after: row });
      return (await this.#writer(tenant, [row]))(row);
    });
  }

  async reopen({ asker, params, body }: CallOf<typeof api.reopenBooks>): Promise<Answer> {
    return this.database.writeIn(asker, params.operationId, async (tenant) => {
      await sql`SELECT pg_advisory_xact_lock(hashtextextended(${tenant.operationId}, 730))`.execute(tenant.db);
      const row = await this.#row(tenant, params.closingId);
      if ((await lastClosing(tenant))?.id !== row.id) throw new Problem('conflict', 'Only the last closed period can be opened again, once.');
      await tenant.db.insertInto('book_reopening').values({ operation_id: tenant.operationId, book_closing_id: row.id, reason: body.reason, recorded_at: tenant.moment.toISOString(), recorded_by: tenant.personId }).execute();
      await tenant.audit({ action: 'books.reopen', subjectKind: 'book-closing', subjectId: row.id, before: row, after: { reason: body.reason } });
      return (await this.#writer(tenant, [row]))(row);
    });
  }

  async list({ asker, params, query }: CallOf<typeof api.listClosings>): Promise<AnswerOf<typeof api.listClosings>> {
    return this.database.readIn(asker, params.operationId, async (tenant) => {
      let select = tenant.db.selectFrom('book_closing').selectAll().where('operation_id', '=', tenant.operationId).orderBy('id', 'desc').limit(query.limit + 1);
      if (query.cursor !== undefined) select = select.where('id', '<', readCursor(query.cursor, z.tuple([z.uuid()]))[0]);
      const rows = await select.execute();
      return pageOf(rows, query.limit, await this.#writer(tenant, rows), (row) => [row.id]);
    });
  }

  async get({ asker, params }: CallOf<typeof api.getClosing>): Promise<Answer> {
    return this.database.readIn(asker, params.operationId, async (tenant) => {
      const row = await this.#row(tenant, params.closingId);
      return (await this.#writer(tenant, [row]))(row);
    });
  }

  async report({ asker, params, query }: CallOf<typeof api.getClosedReport>): Promise<AnswerOf<typeof api.getClosedReport>> {
    return this.database.readIn(asker, params.operationId, async (tenant) => {
      const units = query.units ?? tenant.operation.unitPreference;
      const stored = await tenant.db.selectFrom('closed_report').selectAll().where('operation_id', '=', tenant.operationId).where('book_closing_id', '=', params.closingId)
        .where('name', '=', params.name).where('units', '=', units).executeTakeFirst();
      if (stored === undefined) throw notFound('stored report');
      return { closingId: params.closingId, name: params.name, units, sha256: stored.sha256, body: stored.body };
    });
  }

  async #store(tenant: OperationTenant, closing: Row): Promise<void> {
    const span = { from: closing.from_on, until: closing.until_on };
    // What the answer's schema lets out is what is stored, and nothing else.
    const keep = async (name: string, units: (typeof UNITS)[number], schema: z.ZodObject, report: object): Promise<void> => {
      const { closed: _closed, ...body } = schema.parse({ ...report, closed: null });
      await this.reports.store(tenant, closing.id, name, units, body);
    };
    for (const units of UNITS) {
      for (const by of SEASON_GROUPS) await keep(`season-cost-by-${by}`, units, seasonCostReport, await this.seasonCost.compute(tenant, { ...span, by, units }));
      await keep('cost-of-gain', units, costOfGainReport, await this.costOfGain.compute(tenant, { ...span, windowDays: DEFAULT_WEIGHING_WINDOW_DAYS, units }));
      await keep('hay-position', units, hayPositionReport, await this.hayPosition.compute(tenant, { on: span.until, units }));
      await keep('journal', units, journalReport, await this.journal.computeJournal(tenant, { ...span, units }));
      await keep('trial-balance', units, trialBalanceReport, await this.journal.computeTrialBalance(tenant, { ...span, units }));
      await keep('cost-variances', units, varianceReport, await this.journal.computeVariances(tenant, { ...span, units }));
    }
  }

  /** The first day on which anything of the books is dated. */
  async #firstDay({ db, operationId }: OperationTenant): Promise<string | undefined> {
    const { rows } = await sql<{ first: string | null }>`
      SELECT LEAST((SELECT min(effective_on) FROM stock_movement WHERE operation_id = ${operationId}), (SELECT min(happened_on) FROM head_change WHERE operation_id = ${operationId})) AS first`.execute(db);
    return rows[0]?.first ?? undefined;
  }

  async #row({ db, operationId }: OperationTenant, id: string): Promise<Row> {
    const row = await db.selectFrom('book_closing').selectAll().where('operation_id', '=', operationId).where('id', '=', id).executeTakeFirst();
    if (row === undefined) throw notFound('closed period');
    return row;
  }

  async #writer({ db, operationId }: OperationTenant, rows: readonly Row[]): Promise<(row: Row) => Answer> {
    const ids = rows.map((row) => row.id);
    const reopenings = ids.length === 0 ? [] : await db.selectFrom('book_reopening').selectAll().where('operation_id', '=', operationId).where('book_closing_id', 'in', ids).execute();
    const stored = ids.length === 0 ? [] : await db.selectFrom('closed_report').select(['book_closing_id', 'name', 'units', 'sha256']).where('operation_id', '=', operationId).where('book_closing_id', 'in', ids).orderBy('name').orderBy('units').execute();
    return (row) => {
      const reopening = reopenings.find((one) => one.book_closing_id === row.id);
      return {
        id: row.id, from: row.from_on, until: row.until_on, costingMethod: row.costing_method, note: row.note, closedAt: row.recorded_at, closedBy: row.recorded_by,
        reopening: reopening === undefined ? null : { reason: reopening.reason, reopenedAt: reopening.recorded_at, reopenedBy: reopening.recorded_by },
        reports: stored.filter((one) => one.book_closing_id === row.id).map((one) => ({ name: one.name as 'journal', units: one.units as 'us', sha256: one.sha256 })),
      };
    };
  }
}
