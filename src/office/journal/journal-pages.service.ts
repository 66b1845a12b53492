import { Injectable } from '@nestjs/common';
import { z } from 'zod';
import { type JournalEntry, journalOf } from '../../core/stock/journal.js';
import { addDays, daysInMonth, monthOf } from '../../core/time/calendar-day.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { pageOf, readCursor } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { day } from '../../platform/wire/common.schema.js';
import { asCurrency, formatMoney } from '../../platform/wire/quantity.schema.js';
import { type CostedBooks, CostingService } from '../../records/hay/costing/costing.service.js';
import { AccountMapRead } from '../account-map/account-map.read.js';
import { ClosedReportRead } from '../closings/closed-report.read.js';
import { methodChangeFlags } from '../method-change.js';
import { type EntryWords, EntryWordsRead } from './entry-words.read.js';
import { JournalRead } from './journal.read.js';
import type * as api from './journal.schema.js';

type Page = AnswerOf<typeof api.getJournal>;
type Item = Page['items'][number];
type Entry = Omit<Item, keyof EntryWords>;
type Query = InputOf<typeof api.getJournal>['query'];

const NO_WORDS: EntryWords = { vendor: null, buyer: null, memo: null };
const BEFORE_ALL_BOOKS = '1990-01-01';
const order = z.tuple([day, z.uuid()]);

/** Where the page before ended. */
interface Place {
  on: string;
  entryId: string;
}

/** Entries in the order of the ledger, with that order: an entry after which a page ended may have no posting now. */
interface Stretch {
  entries: readonly Entry[];
  placeOf: ReadonlyMap<string, number>;
}

/** Half-open: `end` is the first day of the month after. */
interface Month {
  from: string;
  end: string;
}

/** What one transaction has worked out: the pages of a register go through each month several times. */
interface Opened {
  head: Omit<Page, 'items' | 'nextCursor'>;
  /** Of a closed period, as it was stored. */
  stored?: Stretch;
  /** Days on which the costing method changed, which is an entry without any in the ledger. */
  changedOn?: readonly string[];
  month?: Stretch & { first: string };
}

/**
 * The journal page by page. Entries of open days are worked out a month at a time, from what is kept at the end of the
 * month before it, so that a page costs a month at most, whatever came before.
 */
@Injectable()
export class JournalPages {
  readonly #opened = new WeakMap<OperationTenant, Opened>();

  constructor(
    private readonly ledger: JournalRead,
    private readonly costing: CostingService,
    private readonly accounts: AccountMapRead,
    private readonly closed: ClosedReportRead,
    private readonly words: EntryWordsRead,
  ) {}

  async page(tenant: OperationTenant, query: Query): Promise<Page> {
    const before = this.#opened.get(tenant);
    const same = before?.head.from === (query.from ?? null) && before.head.until === query.until;
    const opened = same ? before : await this.#open(tenant, query);
    this.#opened.set(tenant, opened);
    const { limit, cursor } = query;
    const [on, entryId] = cursor === undefined ? [] : readCursor(cursor, order);
    const after = on === undefined || entryId === undefined ? undefined : { on, entryId };
    const found =
      opened.stored === undefined
        ? await this.#after(tenant, opened, query, after)
        : entriesAfter(opened.stored, after).slice(0, limit + 1);
    const words = await this.words.of(
      tenant,
      found.map((one) => one.entryId),
    );
    return {
      ...opened.head,
      ...pageOf(
        found,
        limit,
        (one): Item => ({ ...one, ...(words.get(one.entryId) ?? NO_WORDS) }),
        (one) => [one.on, one.entryId],
      ),
    };
  }

  async #open(tenant: OperationTenant, { from, until }: Query): Promise<Opened> {
    const { operationId, operation } = tenant;
    const head = {
      operationId,
      operation: operation.name,
      invented: operation.invented,
      currency: asCurrency(operation.currency),
      from: from ?? null,
      until,
    };
    const stored =
      from === undefined
        ? undefined
        : await this.closed.find<StoredJournal>(tenant, 'journal', operation.unitPreference, { from, until });
    if (stored !== undefined) {
      const { closed, costingMethod, flags, entries } = stored;
      const placeOf = new Map(entries.map((one, index) => [one.entryId, index]));
      return { head: { ...head, closed, costingMethod, flags }, stored: { entries, placeOf } };
    }
    const { method, changes } = await this.costing.upTo(tenant, until, { entriesFrom: addDays(until, 1) });
    const flags = methodChangeFlags(changes, { from, until });
    return { head: { ...head, closed: null, costingMethod: method, flags }, changedOn: changes.map(({ on }) => on) };
  }

  /** One entry more than a page, unless there are no more. */
  async #after(
    tenant: OperationTenant,
    opened: Opened,
    { from = BEFORE_ALL_BOOKS, until, limit }: Query,
    after: Place | undefined,
  ): Promise<Entry[]> {
    const found: Entry[] = [];
    for (let next = after?.on ?? from; next <= until && found.length <= limit;) {
      const day = await this.ledger.nextDay(tenant, { from: next, until });
      const [changed] = (opened.changedOn ?? []).filter((on) => on >= next);
      const [begins] = [day, changed].filter((one) => one !== undefined).sort();
      if (begins === undefined) break;
      const month = monthAround(begins);
      opened.month = opened.month?.first === month.from ? opened.month : await this.#month(tenant, month, until);
      found.push(...entriesAfter(opened.month, after).filter((one) => one.on >= from));
      next = month.end;
    }
    return found.slice(0, limit + 1);
  }

  async #month(tenant: OperationTenant, month: Month, until: string): Promise<Stretch & { first: string }> {
    const lastDay = addDays(month.end, -1);
    const books = await this.costing.upTo(tenant, lastDay < until ? lastDay : until, {
      entriesFrom: month.from,
    });
    const { accounts } = await this.accounts.of(tenant);
    const placeOf = new Map([
      ...books.rows.map((row, index) => [row.id, index] as const),
      // A change of the method comes before all else of its day.
      ...books.changes.map(({ changeId, on }) => {
        const first = books.rows.findIndex((row) => row.effective_on >= on);
        return [changeId, (first < 0 ? books.rows.length : first) - 0.5] as const;
      }),
    ]);
    const place = (one: JournalEntry): number => placeOf.get(one.entryId) ?? 0;
    const entries = journalOf(books.replay, accounts, { from: month.from }).sort((a, b) => place(a) - place(b));
    return { first: month.from, entries: entries.map((one) => entryAnswer(one, books)), placeOf };
  }
}

function monthAround(on: string): Month {
  const from = `${monthOf(on)}-01`;
  return { from, end: addDays(from, daysInMonth(Number(on.slice(0, 4)), Number(on.slice(5, 7)))) };
}

/** The stored report of a closing, which holds the whole journal of its period. */
type StoredJournal = Pick<Page, 'closed' | 'costingMethod' | 'flags'> & { entries: Entry[] };

function entriesAfter({ entries, placeOf }: Stretch, after: Place | undefined): readonly Entry[] {
  if (after === undefined) return entries;
  const place = placeOf.get(after.entryId);
  return entries.filter(
    (one) =>
      one.on > after.on || (place !== undefined && one.on === after.on && (placeOf.get(one.entryId) ?? 0) > place),
  );
}

export function entryAnswer(one: JournalEntry, books: CostedBooks): Entry {
  const row = books.rowOf.get(one.entryId);
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
