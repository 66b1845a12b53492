import { Injectable } from '@nestjs/common';
import { z } from 'zod';
import { type AccountMap, type JournalEntry, journalOf } from '../../core/stock/journal.js';
import { changeEntry } from '../../core/stock/method-change.js';
import { addDays, daysInMonth, monthOf } from '../../core/time/calendar-day.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { pageOf, readCursor } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { day } from '../../platform/wire/common.schema.js';
import { asCurrency, formatMoney } from '../../platform/wire/quantity.schema.js';
import {
  type CostedBooks,
  CostingService,
  type MethodsOfBooks,
  type StretchOfBooks,
} from '../../records/hay/costing/costing.service.js';
import { type ToldMethodChange, within } from '../../records/hay/costing/method-stretches.js';
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

/** A change of the costing method has none. */
const NO_ROWS: CostedBooks['rowOf'] = new Map();

/** Days of one costing method, and the change that begins on the first of them. */
interface DaysOfOne {
  from: string;
  until: string;
  change: ToldMethodChange | undefined;
  accounts: AccountMap;
}

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
    const methods = await this.costing.methodsUpTo(tenant, until);
    const flags = [
      ...methodChangeFlags(methods.changes, { from, until }),
      ...(await this.closed.otherDays(tenant, { from, until })),
    ];
    return {
      head: { ...head, closed: null, costingMethod: methods.method, flags },
      entries: (after) => this.#entries(tenant, methods, { from: from ?? BEFORE_ALL_BOOKS, until }, after),
    };
  }

  /** Days of one costing method after those of the other; a change of it comes before all else of its day. */
  async *#entries(
    tenant: OperationTenant,
    methods: MethodsOfBooks,
    { from, until }: { from: string; until: string },
    after: Place | undefined,
  ): AsyncGenerator<Entry> {
    const { accounts } = await this.accounts.of(tenant);
    const first = after !== undefined && after.on > from ? after.on : from;
    for (const days of within(methods.stretches, { from: first, until })) {
      const change = methods.changes.find(({ on }) => on === days.from);
      if (change !== undefined && change.on !== after?.on)
        for (const one of journalOf({ entries: [changeEntry(change)], currency: change.amount.currency }, accounts))
          yield entryAnswer(one, NO_ROWS);
      yield* this.#underOne(tenant, methods, { ...days, change, accounts }, after);
    }
  }

  async *#underOne(
    tenant: OperationTenant,
    methods: MethodsOfBooks,
    { from, until, change, accounts }: DaysOfOne,
    after: Place | undefined,
  ): AsyncGenerator<Entry> {
    let books: StretchOfBooks | undefined;
    for (let next = from; next <= until; next = addDays(books.until, 1)) {
      const days = await this.ledger.nextDays(tenant, { from: next, until }, this.rowsAtOnce);
      if (days === undefined) return;
      const monthEnd = lastDayOfMonth(days.last);
      books = await this.costing.stretch(
        tenant,
        methods,
        { from: days.first, until: days.last, atMost: monthEnd < until ? monthEnd : until },
        books,
      );
      const placeOf = new Map(books.rows.map((row, index) => [row.id, index]));
      if (change !== undefined) placeOf.set(change.changeId, -1);
      const place = (id: string): number => placeOf.get(id) ?? 0;
      const entries = journalOf(books.replay, accounts, { from: next });
      for (const one of entries.sort((a, b) => place(a.entryId) - place(b.entryId)))
        if (isAfter(one, after, placeOf)) yield entryAnswer(one, books.rowOf);
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
    source: {
      kind: one.kind === 'costing-method-change' ? 'book-closing' : (row?.source_kind ?? ''),
      id: row?.source_id ?? one.entryId,
    },
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
