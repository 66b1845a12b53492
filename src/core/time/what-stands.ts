import { compareDays, type CalendarDay } from './calendar-day.js';

/** An entry of some books: dated, never edited, and undone only by another one. */
export interface DatedEntry {
  readonly id: string;
  readonly on: CalendarDay;
  /** The entry that this one undoes; null if it undoes none. */
  readonly reversesId: string | null;
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

/**
 * The entries that count for an account of some days, in the order given, and what it corrects of earlier ones. An
 * entry whose reversal is not among them counts, and so does a reversal of what is not among them.
 */
export function whatStands<Entry extends DatedEntry>(
  entries: readonly Entry[],
  span: AccountSpan = {},
): { standing: Entry[]; corrections: EarlierCorrection<Entry>[] } {
  const byId = new Map(entries.map((entry) => [entry.id, entry]));
  const undone = new Set<string>();
  const corrections: EarlierCorrection<Entry>[] = [];
  for (const reversal of entries) {
    const reversed = reversal.reversesId === null ? undefined : byId.get(reversal.reversesId);
    if (reversed === undefined) continue;
    const fate = fateOf({ reversedOn: reversed.on, reversalOn: reversal.on }, span);
    if (fate === 'stands') continue;
    undone.add(reversed.id).add(reversal.id);
    if (fate === 'correction') corrections.push({ reversed, reversal });
  }
  return { standing: entries.filter(({ id }) => !undone.has(id)), corrections };
}
