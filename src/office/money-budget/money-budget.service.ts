import { counted } from '../../core/units/counted.js';
import { Injectable } from '@nestjs/common';
import {
  BUDGET_LINES,
  type BudgetAmount,
  budgetAgainstActual,
  type BudgetRow,
  byLine,
  type Held,
  summedCosts,
  summedRows,
} from '../../core/season/money-budget.js';
import { addDays, daysInMonth } from '../../core/time/calendar-day.js';
import { Money } from '../../core/units/money.js';
import { together } from '../../platform/database/together.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem } from '../../platform/http/problem.js';
import { asCurrency, formatDecimal, formatMoney } from '../../platform/wire/quantity.schema.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
import { inWords } from '../corrections.js';
import { spanOf } from '../report-period.js';
import type { Flag } from '../report.schema.js';
import { ActualMoneyService } from './actual-money.service.js';
import { type BudgetEntryRow, MoneyBudgetRead } from './money-budget.read.js';
import type * as api from './money-budget.schema.js';
import { MoneyBudgetStore } from './money-budget.store.js';

type Entry = AnswerOf<typeof api.getBudgetEntry>;
type Report = AnswerOf<typeof api.getBudgetAgainstActual>;

/** Money planned by month, herd and line, and held against the books. */
@Injectable()
export class MoneyBudgetService {
  constructor(
    private readonly herds: HerdRead,
    private readonly budget: MoneyBudgetRead,
    private readonly store: MoneyBudgetStore,
    private readonly actual: ActualMoneyService,
  ) {}

  async create(tenant: OperationTenant, { body }: InputOf<typeof api.createBudgetEntry>): Promise<Entry> {
    await this.herds.one(tenant, body.herdId);
    const id = await this.store.insert(tenant, {
      herd_id: body.herdId,
      month_on: firstDay(body.month),
      line: body.line,
      amount_value: body.amount,
      amount: body.amount,
      currency: tenant.operation.currency,
      note: body.note ?? null,
    });
    const row = await this.budget.one(tenant, id);
    await tenant.audit({ action: 'budget-entry.create', subjectKind: 'budget-entry', subjectId: id, after: row });
    return entryAnswer(row);
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listBudgetEntries>,
  ): Promise<AnswerOf<typeof api.listBudgetEntries>> {
    const rows = await this.budget.page(tenant, { ...query, current: query.current === 'true' });
    return pageOf(rows, query.limit, entryAnswer, (row) => [row.id]);
  }

  async get(tenant: OperationTenant, { params }: InputOf<typeof api.getBudgetEntry>): Promise<Entry> {
    return entryAnswer(await this.budget.one(tenant, params.budgetEntryId));
  }

  async report(tenant: OperationTenant, { query }: InputOf<typeof api.getBudgetAgainstActual>): Promise<Report> {
    const span = monthsOf(query);
    const currency = asCurrency(tenant.operation.currency);
    const [herds, entries, actual] = await together(
      this.herds.all(tenant),
      this.budget.current(tenant, span),
      this.actual.of(tenant, span),
    );
    const asked = (herdId: string): boolean => query.herdId === undefined || herdId === query.herdId;
    if (query.herdId !== undefined) await this.herds.one(tenant, query.herdId);
    const planned = entries
      .filter((one) => asked(one.herd_id))
      .map((one): BudgetAmount => ({
        month: one.month_on.slice(0, 7),
        herdId: one.herd_id,
        line: one.line,
        amount: Money.of(one.amount, currency),
      }));
    const came = actual.amounts.filter((one) => asked(one.herdId));
    const corrections = byLine(
      actual.corrections.filter((one) => asked(one.herdId)),
      currency,
    );
    const rows = budgetAgainstActual(planned, came, currency);
    const names = new Map(herds.map((herd) => [herd.id, herd.name]));
    const lines = BUDGET_LINES.flatMap((line) => {
      const own = rows.filter((one) => one.line === line);
      return own.length === 0 ? [] : [{ line, ...heldAnswer(summedRows(line, own, currency)) }];
    });
    return {
      operationId: tenant.operationId,
      operation: tenant.operation.name,
      invented: tenant.operation.invented,
      currency,
      units: query.units ?? tenant.operation.unitPreference,
      method:
        `Hay and other feed at their booked cost (${actual.method}) and yardage by head-day, as season cost has them ` +
        'month by month; cattle at the money of their head changes, other costs by their bills, late bills in the ' +
        'month in which they came. Variance: actual less what came without a plan, less budget.',
      inputs: { budgetEntries: planned.length, herds: herds.length },
      flags: [...flagsOf(rows), ...actual.flags, ...correctionsFlag(corrections)],
      from: query.from,
      until: query.until,
      costingMethod: actual.method,
      rows: rows.map((one) => ({
        month: one.month,
        herdId: one.herdId,
        herd: names.get(one.herdId) ?? '',
        line: one.line,
        ...heldAnswer(one),
      })),
      lines,
      costs: heldAnswer(summedCosts(rows, currency)),
      correctionsOfEarlier: corrections.map(({ line, amount }) => ({ line, amount: formatMoney(amount) })),
    };
  }
}

/** The days of the months asked about. @throws Problem where they are reversed or too many. */
function monthsOf({ from, until }: { from: string; until: string }): { from: string; until: string } {
  if (until < from)
    throw new Problem('invalid-input', undefined, [
      {
        parameter: 'until',
        code: 'span-reversed',
        given: until,
        allowed: `${from} or later`,
        message: 'The last month is before the first.',
      },
    ]);
  const days = daysInMonth(Number(until.slice(0, 4)), Number(until.slice(5)));
  const span = { from: firstDay(from), until: addDays(firstDay(until), days - 1) };
  spanOf(span);
  return span;
}

function firstDay(month: string): string {
  return `${month}-01`;
}

function heldAnswer({ budget, actual, unplanned, variance, variancePercent, favorable }: Held): Report['costs'] {
  return {
    budget: budget === null ? null : formatMoney(budget),
    actual: formatMoney(actual),
    unplanned: formatMoney(unplanned),
    variance: variance === null ? null : formatMoney(variance),
    variancePercent: variancePercent === null ? null : formatDecimal(variancePercent, 1),
    favorable,
  };
}

function flagsOf(rows: readonly BudgetRow[]): Flag[] {
  const unplanned = rows.filter(({ budget }) => budget === null).length;
  return unplanned === 0 || unplanned === rows.length
    ? []
    : [
        {
          code: 'not-planned',
          message:
            `${unplanned} of ${counted(rows.length, 'row')} came without a plan; sums tell their money apart and ` +
            'hold none of it against a plan.',
        },
      ];
}

function correctionsFlag(corrections: ReturnType<typeof byLine>): Flag[] {
  return corrections.length === 0
    ? []
    : [
        {
          code: 'corrections-of-earlier-days',
          message:
            'Records of earlier months were reversed in these; what that takes back is told apart and in no row: ' +
            `${corrections.map(({ line, amount }) => `${line} ${inWords(amount)}`).join(', ')}.`,
        },
      ];
}

function entryAnswer(row: BudgetEntryRow): Entry {
  return {
    id: row.id,
    herdId: row.herd_id,
    beginsOn: row.month_on,
    month: row.month_on.slice(0, 7),
    line: row.line,
    amount: row.amount === null ? null : formatMoney(Money.of(row.amount, asCurrency(row.currency))),
    amountTyped: row.amount_value,
    revision: row.revision,
    isCurrent: row.is_current,
    note: row.note,
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
