import { Injectable } from '@nestjs/common';
import type { z } from 'zod';
import { DEFAULT_WEIGHING_WINDOW_DAYS } from '../../core/gain/cost-of-gain.js';
import { addDays } from '../../core/time/calendar-day.js';
import { SEASON_GROUPS } from '../../core/season/season-cost.js';
import { dayIn } from '../../platform/clock.js';
import type { OperationTenant, Words } from '../../platform/database/types.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../platform/http/problem.js';
import { type ClosingRow, lastClosing } from '../../records/kit/posting.read.js';
import { periodCloseoutsReport } from '../closeout/period-closeouts.schema.js';
import { PeriodCloseoutsService } from '../closeout/period-closeouts.service.js';
import { costOfGainReport } from '../cost-of-gain/cost-of-gain.schema.js';
import { CostOfGainService } from '../cost-of-gain/cost-of-gain.service.js';
import { hayPositionReport } from '../hay-position/hay-position.schema.js';
import { HayPositionService } from '../hay-position/hay-position.service.js';
import { journalReport, trialBalanceReport, varianceReport } from '../journal/journal.schema.js';
import { GeneralLedgerService } from '../general-ledger/general-ledger.service.js';
import { generalLedgerReport } from '../general-ledger/general-ledger.schema.js';
import { JournalService } from '../journal/journal.service.js';
import { spanOf } from '../report-period.js';
import { seasonCostReport } from '../season-cost/season-cost.schema.js';
import { SeasonCostService } from '../season-cost/season-cost.service.js';
import { ClosedReportRead } from './closed-report.read.js';
import { ClosingRead } from './closing.read.js';
import type * as api from './closing.schema.js';
import { ClosingStore } from './closing.store.js';

type Answer = AnswerOf<typeof api.getClosing>;

const UNITS = ['us', 'metric'] as const;

/** Periods of the books are closed in order, one after the other. */
@Injectable()
export class ClosingService {
  constructor(
    private readonly closings: ClosingRead,
    private readonly store: ClosingStore,
    private readonly seasonCost: SeasonCostService,
    private readonly costOfGain: CostOfGainService,
    private readonly hayPosition: HayPositionService,
    private readonly journal: JournalService,
    private readonly generalLedger: GeneralLedgerService,
    private readonly closeouts: PeriodCloseoutsService,
    private readonly reports: ClosedReportRead,
  ) {}

  async close(tenant: OperationTenant, { body }: InputOf<typeof api.closeBooks>): Promise<Answer> {
    const { operationId, operation, moment } = tenant;
    // The stored reports hold everything there is.
    await this.store.holdBooks(tenant);
    if (!tenant.may('prices', operationId))
      throw new Problem('not-permitted', 'A closing stores what the hay cost; that needs the permission "prices".');
    const today = dayIn(operation.timeZone, moment);
    if (body.until >= today)
      throw ruleBroken(
        '#/until',
        'period-not-over',
        body.until,
        `before ${today}`,
        'A period can only be closed when its last day is over.',
      );
    const last = await lastClosing(tenant);
    if (last !== undefined && body.until <= last.until_on)
      throw ruleBroken(
        '#/until',
        'closed-already',
        body.until,
        `after ${last.until_on}`,
        `The books are closed through ${last.until_on}.`,
      );
    const from =
      last === undefined ? ((await this.closings.firstDay(tenant)) ?? body.until) : addDays(last.until_on, 1);
    if (from > body.until)
      throw ruleBroken('#/until', 'nothing-to-close', body.until, `${from} or later`, `The books begin on ${from}.`);
    spanOf({ from, until: body.until });
    const row = await this.store.insert(tenant, {
      from_on: from,
      until_on: body.until,
      costing_method: operation.costingMethod,
      note: body.note ?? null,
    });
    await this.#storeReports(tenant, row);
    await tenant.audit({ action: 'books.close', subjectKind: 'book-closing', subjectId: row.id, after: row });
    return (await this.#writer(tenant, [row]))(row);
  }

  async reopen(tenant: OperationTenant, { params, body }: InputOf<typeof api.reopenBooks>): Promise<Answer> {
    await this.store.holdBooks(tenant);
    const row = await this.closings.one(tenant, params.closingId);
    if ((await lastClosing(tenant))?.id !== row.id)
      throw new Problem('conflict', 'Only the last closed period can be opened again, once.');
    await this.store.reopen(tenant, row.id, body.reason);
    await tenant.audit({
      action: 'books.reopen',
      subjectKind: 'book-closing',
      subjectId: row.id,
      before: row,
      after: { reason: body.reason },
    });
    return (await this.#writer(tenant, [row]))(row);
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listClosings>,
  ): Promise<AnswerOf<typeof api.listClosings>> {
    const rows = await this.closings.page(tenant, query);
    return pageOf(rows, query.limit, await this.#writer(tenant, rows), (row) => [row.id]);
  }

  async get(tenant: OperationTenant, { params }: InputOf<typeof api.getClosing>): Promise<Answer> {
    const row = await this.closings.one(tenant, params.closingId);
    return (await this.#writer(tenant, [row]))(row);
  }

  async report(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.getClosedReport>,
  ): Promise<AnswerOf<typeof api.getClosedReport>> {
    const units = query.units ?? tenant.operation.unitPreference;
    const stored = await this.reports.one(tenant, params.closingId, params.name, units);
    return { closingId: params.closingId, name: params.name, units, sha256: stored.sha256, body: stored.body };
  }

  async #storeReports(tenant: OperationTenant, closing: ClosingRow): Promise<void> {
    const span = { from: closing.from_on, until: closing.until_on };
    // Stored is exactly what the answer's schema lets out.
    const keep = async (
      name: Words['ClosedReport'],
      units: Words['UnitSystem'],
      schema: z.ZodObject,
      report: object,
    ): Promise<void> => {
      const { closed: _closed, ...body } = schema.parse({ ...report, closed: null });
      await this.store.keepReport(tenant, closing.id, name, units, body);
    };
    for (const units of UNITS) {
      for (const by of SEASON_GROUPS)
        await keep(
          `season-cost-by-${by}`,
          units,
          seasonCostReport,
          await this.seasonCost.compute(tenant, { ...span, by, units }),
        );
      await keep(
        'cost-of-gain',
        units,
        costOfGainReport,
        await this.costOfGain.compute(tenant, { ...span, windowDays: DEFAULT_WEIGHING_WINDOW_DAYS, units }),
      );
      await keep(
        'hay-position',
        units,
        hayPositionReport,
        await this.hayPosition.compute(tenant, { on: span.until, units }),
      );
      await keep(
        'herd-closeouts',
        units,
        periodCloseoutsReport,
        await this.closeouts.compute(tenant, { ...span, units }),
      );
      await keep('general-ledger', units, generalLedgerReport, await this.generalLedger.compute(tenant, span));
      await keep('journal', units, journalReport, await this.journal.computeJournal(tenant, { ...span, units }));
      await keep(
        'trial-balance',
        units,
        trialBalanceReport,
        await this.journal.computeTrialBalance(tenant, { ...span, units }),
      );
      await keep(
        'cost-variances',
        units,
        varianceReport,
        await this.journal.computeVariances(tenant, { ...span, units }),
      );
    }
  }

  async #writer(tenant: OperationTenant, rows: readonly ClosingRow[]): Promise<(row: ClosingRow) => Answer> {
    const ids = rows.map((row) => row.id);
    const reopenings = await this.closings.reopeningsOf(tenant, ids);
    const stored = await this.reports.listOf(tenant, ids);
    return (row) => {
      const reopening = reopenings.find((one) => one.book_closing_id === row.id);
      return {
        id: row.id,
        from: row.from_on,
        until: row.until_on,
        costingMethod: row.costing_method,
        note: row.note,
        closedAt: row.recorded_at,
        closedBy: row.recorded_by,
        reopening:
          reopening === undefined
            ? null
            : { reason: reopening.reason, reopenedAt: reopening.recorded_at, reopenedBy: reopening.recorded_by },
        reports: stored
          .filter((one) => one.book_closing_id === row.id)
          .map((one) => ({ name: one.name, units: one.units, sha256: one.sha256 })),
      };
    };
  }
}
