import { Injectable } from '@nestjs/common';
import { type HerdJournalEntry, herdPostings } from '../../core/closeout/cattle-postings.js';
import { type LedgerDetail, partsByHerd, summarised } from '../../core/stock/general-ledger.js';
import { type AccountMap, type JournalEntry, type JournalLine, journalOf, sidesOf } from '../../core/stock/journal.js';
import type { SharedVariance } from '../../core/stock/who-ate.js';
import { ACCOUNT_ROLE_CODES } from '../../core/stock/accounts.data.js';
import { addDays } from '../../core/time/calendar-day.js';
import { type Currency, Money } from '../../core/units/money.js';
import { together } from '../../platform/database/together.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { asCurrency, formatMoney } from '../../platform/wire/quantity.schema.js';
import { HerdRead, type HerdRow } from '../../records/cattle/herds/herd.read.js';
import { type CostedBooks, CostingService } from '../../records/hay/costing/costing.service.js';
import { HayLotRead } from '../../records/hay/lots/hay-lot.read.js';
import { AccountMapRead } from '../account-map/account-map.read.js';
import { CattleJournalRead } from '../cattle-journal/cattle-journal.read.js';
import { ClosedReportRead } from '../closings/closed-report.read.js';
import { type EntryWords, EntryWordsRead } from '../journal/entry-words.read.js';
import { boughtCattleFlags } from '../bought-cattle.js';
import { methodChangeFlags } from '../method-change.js';
import { spanOf } from '../report-period.js';
import { type YardagePosting, SeasonCostService } from '../season-cost/season-cost.service.js';
import type * as api from './general-ledger.schema.js';
import type { LedgerLine } from './general-ledger.schema.js';

type Answer = AnswerOf<typeof api.getGeneralLedger>;
interface Days {
  from: string;
  until: string;
}

/** Of what is posted to no cattle. */
const HAY = 'hay';

/** How the lines of entries are told. */
interface Words {
  ofEntry: ReadonlyMap<string, EntryWords>;
  lots: ReadonlyMap<string, string>;
  herds: ReadonlyMap<string, HerdRow>;
  /** Who ate of the hay that an entry's variance is of. */
  shared: ReadonlyMap<string, SharedVariance>;
}

@Injectable()
export class GeneralLedgerService {
  constructor(
    private readonly costing: CostingService,
    private readonly accounts: AccountMapRead,
    private readonly words: EntryWordsRead,
    private readonly lots: HayLotRead,
    private readonly herds: HerdRead,
    private readonly seasonCost: SeasonCostService,
    private readonly closed: ClosedReportRead,
    private readonly cattle: CattleJournalRead,
  ) {}

  async report(tenant: OperationTenant, { query }: InputOf<typeof api.getGeneralLedger>): Promise<Answer> {
    spanOf(query);
    const asked = { name: 'general-ledger', units: tenant.operation.unitPreference, span: query } as const;
    const whole = await this.closed.orWorkedOut<Answer>(tenant, asked, () => this.compute(tenant, query));
    const { openAccounts, detail } = query;
    return inDetail({ ...whole, openAccounts, batchId: whole.closed?.closingId ?? null }, detail);
  }

  /** Entry by entry, from the books as they are now. */
  async compute(tenant: OperationTenant, { from, until }: Days): Promise<Omit<Answer, 'closed'>> {
    const currency = asCurrency(tenant.operation.currency);
    const [books, { accounts }, yardage, cattle, bought] = await together(
      this.costing.upTo(tenant, until, { entriesFrom: from }),
      this.accounts.of(tenant),
      this.seasonCost.yardagePostings(tenant, { from, until }),
      this.cattle.entries(tenant, { from, until }),
      this.cattle.boughtOnHand(tenant, until),
    );
    const entries = journalOf(books.replay, accounts, { from, until: addDays(until, 1) });
    const ofHerds = herdPostings(cattle, accounts);
    const variances = books.replay.variances.filter(({ on }) => on >= from);
    const words = await this.#words(tenant, entries, await this.costing.shared(tenant, variances));
    const lines = [
      ...entries.flatMap((entry) => hayLines(entry, books, words)),
      ...yardage.flatMap((one) => yardageLines(one, accounts, words)),
      ...ofHerds.flatMap((one) => cattleLines(one, words)),
    ].sort((one, other) => (one.on < other.on ? -1 : one.on > other.on ? 1 : 0));
    return {
      operationId: tenant.operationId,
      operation: tenant.operation.name,
      invented: tenant.operation.invented,
      currency,
      method:
        `The journal of the hay books, hay valued by ${books.method}; the yardage of each herd and month by ` +
        'head-day, and what a reversed head change takes back of earlier days on the day of its reversal; the ' +
        'journal of cattle and of other costs of herds. Late bills are told herd by herd, by who ate of their hay.',
      inputs: { entries: entries.length, yardagePostings: yardage.length, cattleEntries: ofHerds.length },
      flags: [...methodChangeFlags(books.changes, { from, until }), ...boughtCattleFlags(bought, accounts, until)],
      from,
      until,
      detail: 'entry',
      costingMethod: books.method,
      batchId: null,
      accounts: ACCOUNT_ROLE_CODES.map((account) => ({
        account,
        accountNumber: accounts[account].number,
        accountName: accounts[account].name,
      })),
      lines,
      ...totals(lines, currency),
    };
  }

  async #words(
    tenant: OperationTenant,
    entries: readonly JournalEntry[],
    shared: readonly SharedVariance[],
  ): Promise<Words> {
    const [ofEntry, lots, herds] = await together(
      this.words.of(
        tenant,
        entries.map(({ entryId }) => entryId),
      ),
      this.lots.all(tenant),
      this.herds.all(tenant),
    );
    return {
      ofEntry,
      lots: new Map(lots.map((lot) => [lot.id, lot.name])),
      herds: new Map(herds.map((herd) => [herd.id, herd])),
      shared: new Map(shared.map((one) => [one.entryId, one])),
    };
  }
}

function hayLines(entry: JournalEntry, books: CostedBooks, words: Words): LedgerLine[] {
  return entry.lines
    .flatMap((line) => partsByHerd(line, words.shared.get(entry.entryId)))
    .map((line) => lineOf(entry, line, books, words));
}

function lineOf(entry: JournalEntry, line: JournalLine, { rowOf }: CostedBooks, words: Words): LedgerLine {
  const row = rowOf.get(entry.entryId);
  const sourceKind = entry.kind === 'costing-method-change' ? 'book-closing' : (row?.source_kind ?? entry.kind);
  const written = words.ofEntry.get(entry.entryId);
  const herd = line.herdId === undefined ? undefined : words.herds.get(line.herdId);
  return {
    ...NO_WORDS,
    on: entry.on,
    entryId: entry.entryId,
    kind: entry.kind,
    account: line.account,
    accountNumber: line.accountNumber,
    accountName: line.accountName,
    enterprise: herd?.cattle_class ?? HAY,
    debit: formatMoney(line.debit),
    credit: formatMoney(line.credit),
    vendor: written?.vendor ?? null,
    buyer: written?.buyer ?? null,
    memo: written?.memo ?? null,
    hayKind: line.hayKind,
    hayLotId: line.lotId,
    hayLot: words.lots.get(line.lotId) ?? null,
    herdId: line.herdId ?? null,
    herd: herd?.name ?? null,
    source: { kind: sourceKind, id: row?.source_id ?? entry.entryId },
    reversesId: entry.reverses ?? null,
  };
}

/** What a line may be told with, and is not of every sort; a line of an entry is one. */
const NO_WORDS = {
  vendor: null,
  buyer: null,
  memo: null,
  hayKind: null,
  hayLotId: null,
  hayLot: null,
  herdId: null,
  herd: null,
  source: null,
  reversesId: null,
  lines: 1,
} as const;

/** Cattle, and costs of herds; their kinds have codes of their own beside those of hay. */
function cattleLines(entry: HerdJournalEntry, { herds }: Words): LedgerLine[] {
  const { entryId, on, kind, reversesId, party, memo } = entry;
  const isCost = kind === 'herd-cost';
  const isVendor = isCost || kind === 'in' || kind === 'move-in';
  const sourceKind = isCost ? (reversesId === null ? 'herd-cost' : 'reversal') : 'head-change';
  return entry.lines.map(({ account, accountNumber, accountName, debit, credit, herdId }) => ({
    ...NO_WORDS,
    on,
    entryId,
    kind: isCost ? kind : `cattle-${kind}`,
    account,
    accountNumber,
    accountName,
    enterprise: herds.get(herdId)?.cattle_class ?? HAY,
    debit: formatMoney(debit),
    credit: formatMoney(credit),
    vendor: isVendor ? party : null,
    buyer: isVendor ? null : party,
    memo,
    herdId,
    herd: herds.get(herdId)?.name ?? null,
    source: { kind: sourceKind, id: entryId },
    reversesId,
  }));
}

/** Both sides of what a herd's yardage came to: an expense of the cattle, applied by the ranch. */
function yardageLines(
  { on, herdId, what, amount }: YardagePosting,
  accounts: AccountMap,
  { herds }: Words,
): LedgerLine[] {
  const herd = herds.get(herdId);
  const side = (account: 'yardage-expense' | 'yardage-applied', money: Money): LedgerLine => {
    const { debit, credit } = sidesOf(money);
    return {
      ...NO_WORDS,
      on,
      entryId: null,
      kind: what,
      account,
      accountNumber: accounts[account].number,
      accountName: accounts[account].name,
      enterprise: herd?.cattle_class ?? HAY,
      debit: formatMoney(debit),
      credit: formatMoney(credit),
      herdId,
      herd: herd?.name ?? null,
    };
  };
  return [side('yardage-expense', amount), side('yardage-applied', amount.negated())];
}

function totals(
  lines: readonly { debit: { amount: string }; credit: { amount: string } }[],
  currency: Currency,
): Pick<Answer, 'totalDebit' | 'totalCredit'> {
  const sum = (side: 'debit' | 'credit'): Answer['totalDebit'] =>
    formatMoney(
      Money.sum(
        lines.map((line) => Money.of(line[side].amount, currency)),
        currency,
      ),
    );
  return { totalDebit: sum('debit'), totalCredit: sum('credit') };
}

/** A ledger entry by entry as it was asked for. */
function inDetail(whole: Answer, detail: LedgerDetail): Answer {
  if (detail === 'entry') return whole;
  const currency = asCurrency(whole.currency);
  const sums = summarised(
    whole.lines.map((line) => ({
      ...line,
      debit: Money.of(line.debit.amount, currency),
      credit: Money.of(line.credit.amount, currency),
    })),
    detail,
    whole.until,
    currency,
  );
  const lines = sums.map((sum): LedgerLine => ({
    ...NO_WORDS,
    on: sum.on,
    entryId: null,
    kind: null,
    account: sum.account,
    accountNumber: sum.accountNumber,
    accountName: sum.accountName,
    enterprise: sum.enterprise,
    debit: formatMoney(sum.debit),
    credit: formatMoney(sum.credit),
    lines: sum.lines,
  }));
  return { ...whole, detail, lines, ...totals(lines, currency) };
}
