import { Injectable } from '@nestjs/common';
import { z } from 'zod';
import type { CostingMethod } from '../../core/stock/costing-entries.js';
import { type JournalEntry, journalOf } from '../../core/stock/journal.js';
import { addDays, daysInMonth, monthOf } from '../../core/time/calendar-day.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { pageOf, readCursor } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { day } from '../../platform/wire/common.schema.js';
import { asCurrency, formatMoney } from '../../platform/wire/quantity.schema.js';
import { type CostedBooks, CostingService, type StretchOfBooks } from '../../records/hay/costing/costing.service.js';
import { AccountMapRead } from '../account-map/account-map.read.js';
import { ClosedReportRead } from '../closings/closed-report.read.js';
import { BEFORE_ALL_BOOKS, EntryFlow, type Place } from '../entry-flow.js';
import { methodChangeFlags } from '../method-change.js';
import { type EntryWords, EntryWordsRead } from './entry-words.read.js';
import { JournalRead } from './journal.read.js';
import type * as api from './journal.schema.js';

type Page = AnswerOf<typeof api.getJournal>;
type Item = Page['items'][number];
type Entry = Omit<Item, keyof EntryWords>;
type Query = InputOf<typeof api.getJournal>['query'];

const NO_WORDS: EntryWords = { vendor: null, buyer: null, memo: null };
const order = z.tuple([day, z.uuid()]);

type Head = Omit<Page, 'items' | 'nextCursor'>;

/** What one transaction has begun to take. */
interface Opened {
  head: Head;
  entries: (after?: Place) => AsyncGenerator<Entry>;
  flow: EntryFlow<Entry>;
}

/**
 * The journal page by page. Entries of open days are worked out some days at a time, from what is kept before the first
 * of them; pages that follow each other in one transaction, as those of a file do, go on where the one before ended.
 * Those of a closed period are as they were stored.
 */
@Injectable()
export class JournalPages {
  /** Ledger rows that are held at once, unless one day has more. */
  rowsAtOnce = 500;
  readonly #opened = new WeakMap<OperationTenant, Opened>();

  constructor(
    private readonly ledger: JournalRead,
    private readonly costing: CostingService,
    private readonly accounts: AccountMapRead,
    private readonly closed: ClosedReportRead,
    private readonly words: EntryWordsRead,
  ) {}

  async page(tenant: OperationTenant, query: Query): Promise<Page> {
    const { limit, cursor } = query;
    const [on, entryId] = cursor === undefined ? [] : readCursor(cursor, order);
    const after = on === undefined || entryId === undefined ? undefined : { on, entryId };
    const { head, flow } = await this.#openedAt(tenant, query, after);
    const found = await flow.next(limit);
    const words = await this.words.of(
      tenant,
      found.map((one) => one.entryId),
    );
    return {
      ...head,
      ...pageOf(
        found,
        limit,
        (one): Item => ({ ...one, ...(words.get(one.entryId) ?? NO_WORDS) }),
        (one) => [one.on, one.entryId],
      ),
    };
  }

  async #openedAt(tenant: OperationTenant, query: Query, after: Place | undefined): Promise<Opened> {
    const { from, until } = query;
    const asked = { from, until };
    const before = this.#opened.get(tenant);
    const same = before?.head.from === (from ?? null) && before.head.until === until;
    if (same && before.flow.goesOn(after, asked)) return before;
    const { head, entries } = same ? before : await this.#open(tenant, query);
    const opened = { head, entries, flow: new EntryFlow(entries(after), after, asked) };
    this.#opened.set(tenant, opened);
    return opened;
  }

  async #open(tenant: OperationTenant, { from, until }: Query): Promise<Omit<Opened, 'flow'>> {
    const { operationId, operation } = tenant;
    const head = {
      operationId,
      operation: operation.name,
      invented: operation.invented,
      currency: asCurrency(operation.currency),
      from: from ?? null,
      until,
    };
    if (from !== undefined) {
      const asked = { name: 'journal', units: operation.unitPreference, span: { from, until } } as const;
      const told = ['costingMethod', 'flags'] as const;
      const stored = await this.closed.findLong<Pick<Head, (typeof told)[number]>, Entry>(tenant, asked, told);
      if (stored !== undefined) {
        const { entries, ...said } = stored;
        return { head: { ...head, ...said }, entries };
      }
    }
    const costingMethod = await this.costing.methodOn(tenant, until);
    const flags = await methodChangeFlags(tenant, this.costing, { until });
    return {
      head: { ...head, closed: null, costingMethod, flags },
      entries: (after) => this.#entries(tenant, costingMethod, { from: from ?? BEFORE_ALL_BOOKS, until }, after),
    };
  }

  async *#entries(
    tenant: OperationTenant,
    method: CostingMethod,
    { from, until }: { from: string; until: string },
    after: Place | undefined,
  ): AsyncGenerator<Entry> {
    const { accounts } = await this.accounts.of(tenant);
    let books: StretchOfBooks | undefined;
    for (let next = after?.on ?? from; next <= until; next = addDays(books.until, 1)) {
      const days = await this.ledger.nextDays(tenant, { from: next, until }, this.rowsAtOnce);
      if (days === undefined) return;
      const monthEnd = lastDayOfMonth(days.last);
      books = await this.costing.stretch(
        tenant,
        method,
        { from: days.first, until: days.last, atMost: monthEnd < until ? monthEnd : until },
        books,
      );
      const placeOf = new Map(books.rows.map((row, index) => [row.id, index]));
      const place = (id: string): number => placeOf.get(id) ?? 0;
      const entries = journalOf(books.replay, accounts, { from: next });
      for (const one of entries.sort((a, b) => place(a.entryId) - place(b.entryId)))
        if (one.on >= from && isAfter(one, after, placeOf)) yield entryAnswer(one, books.rowOf);
    }
  }
}

function lastDayOfMonth(on: string): string {
  const first = `${monthOf(on)}-01`;
  return addDays(first, daysInMonth(Number(on.slice(0, 4)), Number(on.slice(5, 7))) - 1);
}

/** An entry after which a page ended may have no posting now, so its place is that of its row. */
function isAfter(one: JournalEntry, after: Place | undefined, placeOf: ReadonlyMap<string, number>): boolean {
  if (after === undefined || one.on > after.on) return true;
  const place = placeOf.get(after.entryId);
  return one.on === after.on && place !== undefined && (placeOf.get(one.entryId) ?? 0) > place;
}

export function entryAnswer(one: JournalEntry, rowOf: CostedBooks['rowOf']): Entry {
  const row = rowOf.get(one.entryId);
  return {
    entryId: one.entryId,
    on: one.on,
    kind: one.kind,
    source: { kind: row?.source_kind ?? '', id: row?.source_id ?? one.entryId },
    reversesId: one.reverses ?? null,
    lines: one.lines.map((line) => ({
      account: line.account,
      accountNumber: line.accountNumber,
      accountName: line.accountName,
      debit: formatMoney(line.debit),
      credit: formatMoney(line.credit),
      hayKind: line.hayKind,
      hayLotId: line.lotId,
      herdId: line.herdId ?? null,
    })),
  };
}
