import { Injectable } from '@nestjs/common';
import type { z } from 'zod';
import { addDays } from '../../core/time/calendar-day.js';
import {
  type AccountMap,
  type JournalEntry,
  journalOf,
  trialBalance,
  trialBalanceOfTotals,
} from '../../core/stock/journal.js';
import type { SharedVariance } from '../../core/stock/who-ate.js';
import { type Currency, Money } from '../../core/units/money.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem } from '../../platform/http/problem.js';
import { asCurrency, type UnitSystem, formatMoney } from '../../platform/wire/quantity.schema.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
import { type CostedBooks, CostingService } from '../../records/hay/costing/costing.service.js';
import { AccountMapRead } from '../account-map/account-map.read.js';
import { ClosedReportRead } from '../closings/closed-report.read.js';
import { spanOf } from '../report-period.js';
import type { Flag } from '../report.schema.js';
import { methodChangeFlags } from '../method-change.js';
import { entryAnswer, JournalPages } from './journal-pages.service.js';
import type * as api from './journal.schema.js';

type Page = AnswerOf<typeof api.getJournal>;
type Journal = z.input<typeof api.journalReport>;
type Trial = AnswerOf<typeof api.getTrialBalance>;
type Variances = AnswerOf<typeof api.getCostVariances>;

/** The hay books as double entries. */
@Injectable()
export class JournalService {
  constructor(
    private readonly pages: JournalPages,
    private readonly costing: CostingService,
    private readonly accounts: AccountMapRead,
    private readonly closed: ClosedReportRead,
    private readonly herds: HerdRead,
  ) {}

  async journal(tenant: OperationTenant, { query }: InputOf<typeof api.getJournal>): Promise<Page> {
    refuseReversed(query);
    return this.pages.page(tenant, query);
  }

  async trialBalance(tenant: OperationTenant, { query }: InputOf<typeof api.getTrialBalance>): Promise<Trial> {
    refuseReversed(query);
    const units = query.units ?? tenant.operation.unitPreference;
    if (query.from === undefined)
      return { ...(await this.computeTrialBalance(tenant, { ...query, units })), closed: null };
    return this.closed.orWorkedOut<Trial>(tenant, { name: 'trial-balance', units, span: query }, () =>
      this.computeTrialBalance(tenant, { ...query, units }),
    );
  }

  async variances(tenant: OperationTenant, { query }: InputOf<typeof api.getCostVariances>): Promise<Variances> {
    spanOf(query);

    const units = query.units ?? tenant.operation.unitPreference;
    return this.closed.orWorkedOut<Variances>(tenant, { name: 'cost-variances', units, span: query }, () =>
      this.computeVariances(tenant, { ...query, units }),
    );
  }

  /** The journal of a period as a whole, which a closing stores in one document, sealed by its digest. */
  async computeJournal(
    tenant: OperationTenant,
    query: { from: string; until: string; units: UnitSystem },
  ): Promise<Omit<Journal, 'closed'>> {
    const { books, entries } = await this.#entries(tenant, query.from, query.until);
    const currency = asCurrency(tenant.operation.currency);
    const postings = entries.flatMap((one) => one.lines);
    return {
      ...this.#head(
        tenant,
        query.units,
        books,
        `Double entry of each ledger entry that moved money; hay valued by ${books.method}. Entries reversed ` +
          'at their own instant have no posting.',
      ),
      flags: methodChangeFlags(books.changes, query),
      from: query.from,
      until: query.until,
      costingMethod: books.method,
      entries: entries.map((one) => entryAnswer(one, books.rowOf)),
      totalDebit: formatMoney(
        Money.sum(
          postings.map((one) => one.debit),
          currency,
        ),
      ),
      totalCredit: formatMoney(
        Money.sum(
          postings.map((one) => one.credit),
          currency,
        ),
      ),
    };
  }

  async computeTrialBalance(
    tenant: OperationTenant,
    query: { from?: string | undefined; until: string; units: UnitSystem },
  ): Promise<Omit<Trial, 'closed'>> {
    const currency = asCurrency(tenant.operation.currency);
    const [books, accounts] = await this.#books(tenant, query.from ?? addDays(query.until, 1), query.until);
    const trial =
      query.from === undefined
        ? trialBalanceOfTotals(books.replay, accounts)
        : trialBalance(journalOf(books.replay, accounts, { from: query.from }), currency);
    return {
      ...this.#head(
        tenant,
        query.units,
        books,
        `Net side of each account over the lines of the journal of the hay books; hay valued by ${books.method}. ` +
          'Cattle, other costs of herds and yardage are in the general ledger.',
      ),
      flags: methodChangeFlags(books.changes, query),
      from: query.from ?? null,
      until: query.until,
      costingMethod: books.method,
      rows: trial.rows.map((row) => ({
        accountNumber: row.accountNumber,
        accountName: row.accountName,
        debit: formatMoney(row.debit),
        credit: formatMoney(row.credit),
      })),
      totalDebit: formatMoney(trial.totalDebit),
      totalCredit: formatMoney(trial.totalCredit),
    };
  }

  async computeVariances(
    tenant: OperationTenant,
    query: { from: string; until: string; units: UnitSystem },
  ): Promise<Omit<Variances, 'closed'>> {
    const books = await this.costing.upTo(tenant, query.until, { entriesFrom: query.from });
    const currency = asCurrency(tenant.operation.currency);
    const within = books.replay.variances.filter((one) => one.on >= query.from);
    const [late, herds] = [await this.costing.shared(tenant, within), await this.herds.all(tenant)];
    const names = new Map(herds.map((herd) => [herd.id, herd.name]));
    const sharesOf = (some: readonly SharedVariance[]): SharesAnswer => sharesAnswer(some, names, currency);
    return {
      ...this.#head(
        tenant,
        query.units,
        books,
        'The part of a later bill, or of a receipt reversed, whose hay was already fed or sold under ' +
          `${books.method}; the rest is in the inventory. It is shared, by mass, among the herds that ate of the lot.`,
      ),
      flags: methodChangeFlags(books.changes, query),
      from: query.from,
      until: query.until,
      costingMethod: books.method,
      variances: within.map((one) => {
        const row = books.rowOf.get(one.entryId);
        const { byHerd, notEaten } = sharesOf(late.filter(({ entryId }) => entryId === one.entryId));
        return {
          entryId: one.entryId,
          on: one.on,
          amount: formatMoney(one.amount),
          cause: one.cause,
          source: { kind: row?.source_kind ?? '', id: row?.source_id ?? one.entryId },
          hayKind: row?.hay_kind ?? '',
          hayLotId: row?.hay_lot_id ?? one.entryId,
          herds: byHerd,
          notEaten,
        };
      }),
      ...sharesOf(late),
      total: formatMoney(
        Money.sum(
          within.map((one) => one.amount),
          currency,
        ),
      ),
    };
  }

  async #entries(
    tenant: OperationTenant,
    from: string | undefined,
    until: string,
  ): Promise<{ books: CostedBooks; entries: JournalEntry[] }> {
    const [books, accounts] = await this.#books(tenant, from, until);
    return {
      books,
      entries: journalOf(books.replay, accounts, { ...(from === undefined ? {} : { from }), until: addDays(until, 1) }),
    };
  }

  async #books(
    tenant: OperationTenant,
    entriesFrom: string | undefined,
    until: string,
  ): Promise<[books: CostedBooks, accounts: AccountMap]> {
    const books = await this.costing.upTo(tenant, until, entriesFrom === undefined ? {} : { entriesFrom });
    const { accounts } = await this.accounts.of(tenant);
    return [books, accounts];
  }

  #head(
    tenant: OperationTenant,
    units: UnitSystem,
    books: CostedBooks,
    method: string,
  ): Pick<Journal, 'operationId' | 'operation' | 'invented' | 'currency' | 'units' | 'method' | 'inputs'> & {
    flags: Flag[];
  } {
    return {
      operationId: tenant.operationId,
      operation: tenant.operation.name,
      invented: tenant.operation.invented,
      currency: asCurrency(tenant.operation.currency),
      units,
      method,
      inputs: {
        ledgerMovements: books.replay.totals.movements,
        laterBills: books.replay.totals.laterBills,
        costedEntries: books.replay.totals.entries,
      },
      flags: [],
    };
  }
}

type SharesAnswer = Required<Pick<Variances, 'byHerd' | 'notEaten'>>;

/** Late costs by herd, and what no herd ate: together the variances. */
function sharesAnswer(
  late: readonly SharedVariance[],
  names: ReadonlyMap<string, string>,
  currency: Currency,
): SharesAnswer {
  const sums = new Map<string | null, Money>();
  for (const { herdId, amount } of late.flatMap(({ shares }) => shares))
    sums.set(herdId, (sums.get(herdId) ?? Money.zero(currency)).plus(amount));
  return {
    byHerd: [...sums].flatMap(([herdId, amount]) =>
      herdId === null ? [] : [{ herdId, herd: names.get(herdId) ?? '', amount: formatMoney(amount) }],
    ),
    notEaten: formatMoney(sums.get(null) ?? Money.zero(currency)),
  };
}

/** @throws Problem where the last day is before the first. */
function refuseReversed({ from, until }: { from?: string | undefined; until: string }): void {
  if (from === undefined || from <= until) return;
  throw new Problem('invalid-input', undefined, [
    {
      parameter: 'until',
      code: 'span-reversed',
      given: until,
      allowed: `${from} or later`,
      message: 'The last day is before the first.',
    },
  ]);
}
