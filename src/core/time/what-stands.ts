import { compareDays, type CalendarDay } from './calendar-day.js';

/** An entry of some books: dated, never edited, and undone only by another one. */
export interface DatedEntry {
  readonly id: string;
  readonly on: CalendarDay;
  /** The entry that this one undoes; null if it undoes none. */
  readonly reversesId: string | null;
  /** Of an entry that was posted late (on `on`) in place of one that was taken back: the day told for it. */
  readonly toldOn?: CalendarDay | null | undefined;
}

/** Days that an account is about, both included. Without `from`, everything up to `until`; without both, all. */
export interface AccountSpan {
  readonly from?: CalendarDay | undefined;
  readonly until?: CalendarDay | undefined;
}

/** When an entry was dated and as of when it was undone. */
export interface Reversed {
  readonly reversedOn: CalendarDay;
  readonly reversalOn: CalendarDay;
}

/**
 * What an account of some days makes of an entry and its reversal. The one home of this rule:
 * - `stands`: the reversal comes after the last day; the entry counts as it was told then.
 * - `correction`: the entry is of days before the first one, whose account was made with it, and the reversal is of
 * these days: neither is in the figures, and what the reversal takes back is told apart, with its amount.
 * - `gone`: any other pair. Neither is there, on any day.
 *
 * So accounts of days that follow each other, with their corrections, add up to the account of all of them.
 */
export function fateOf({ reversedOn, reversalOn }: Reversed, { from, until }: AccountSpan): Fate {
  if (until !== undefined && compareDays(reversalOn, until) > 0) return 'stands';
  if (from !== undefined && compareDays(reversedOn, from) < 0 && compareDays(reversalOn, from) >= 0)
    return 'correction';
  return 'gone';
}

/**
 * Whether what takes back a record of a day, or was posted late in its place, corrects what was told before the first
 * day of an account: that is told apart, with its amount, and is neither a new entry of these days nor a late cost.
 */
export function putsEarlierRight(of: CalendarDay | null | undefined, { from }: AccountSpan): boolean {
  return of !== null && of !== undefined && from !== undefined && compareDays(of, from) < 0;
}

export type Fate = 'stands' | 'correction' | 'gone';

/** An entry of an earlier period and the reversal that undoes it in this one. */
export interface EarlierCorrection<Entry> {
  readonly reversed: Entry;
  readonly reversal: Entry;
}

/** An entry that was posted late in these days in place of one, and is of days before them. */
export interface PutInPlace<Entry> {
  /** On the day told for it. */
  readonly entry: Entry;
  readonly postedOn: CalendarDay;
}

/** What counts for an account of some days, and what that changes of earlier ones. */
export interface Standing<Entry> {
  readonly standing: Entry[];
  readonly corrections: EarlierCorrection<Entry>[];
  readonly inPlace: PutInPlace<Entry>[];
}

/**
 * The entries that count for an account of some days, in the order given, and what it corrects of earlier ones. An
 * entry whose reversal is not among them counts, and so does a reversal of what is not among them. One that was posted
 * late in place of another counts on the day told for it, in every account that knows it: as if the mistake had never
 * been made. Where the account begins between that day and the posting, what that adds to earlier days is told apart,
 * as what the reversal takes back of them is.
 */
export function whatStands<Entry extends DatedEntry>(
  entries: readonly Entry[],
  span: AccountSpan = {},
): Standing<Entry> {
  const byId = new Map(entries.map((entry) => [entry.id, entry]));
  const undone = new Set<string>();
  const corrections: EarlierCorrection<Entry>[] = [];
  for (const reversal of entries) {
    const reversed = reversal.reversesId === null ? undefined : byId.get(reversal.reversesId);
    if (reversed === undefined) continue;
    const fate = fateOf({ reversedOn: reversed.on, reversalOn: reversal.on }, span);
    if (fate === 'stands') continue;
    undone.add(reversed.id).add(reversal.id);
    if (fate === 'correction') corrections.push({ reversed: asTold(reversed, span), reversal });
  }
  const left = entries.filter(({ id }) => !undone.has(id));
  return {
    standing: left.map((entry) => asTold(entry, span)),
    corrections,
    inPlace: left.flatMap((entry) => {
      const told = asTold(entry, span);
      const isCorrection = told !== entry && putsEarlierRight(told.on, span) && !putsEarlierRight(entry.on, span);
      return isCorrection ? [{ entry: told, postedOn: entry.on }] : [];
    }),
  };
}

/** An entry on the day told for it, from its posting on. */
function asTold<Entry extends DatedEntry>(entry: Entry, { until }: AccountSpan): Entry {
  const { on, toldOn, reversesId } = entry;
  const isKnown = until === undefined || compareDays(on, until) <= 0;
  return toldOn === null || toldOn === undefined || reversesId !== null || !isKnown ? entry : { ...entry, on: toldOn };
}
