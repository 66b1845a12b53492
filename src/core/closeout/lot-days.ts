import type { HeadStep } from '../standing/head-days.js';
import { type CalendarDay, compareDays } from '../time/calendar-day.js';
import { type DatedEntry, type Reversed, whatStands } from '../time/what-stands.js';

/** Days on which a herd had cattle without a break; `until` is the day on which the last left, null if they stand. */
export interface LotDays {
  readonly from: CalendarDay;
  readonly until: CalendarDay | null;
  /** The days of its account: with the bills that came before its cattle, or after they had left. */
  readonly account: { readonly from: CalendarDay; readonly until: CalendarDay | null };
}

/** What tells the lots of a herd: the steps of `headHistory`, and its bills. */
interface LotFacts {
  readonly steps: readonly HeadStep[];
  readonly bills: LotBills;
}

/** The days of bills that stand and, of those that were taken back on a later day, both days. */
export interface LotBills {
  readonly standing: readonly CalendarDay[];
  readonly takenBack: readonly Reversed[];
}

/** @param entered costs of one herd as they were entered, with what takes them back */
export function lotBills(entered: readonly DatedEntry[]): LotBills {
  const { standing } = whatStands(entered);
  const byId = new Map(entered.map((entry) => [entry.id, entry]));
  return {
    standing: standing.flatMap(({ on, reversesId }) => (reversesId === null ? [on] : [])),
    takenBack: entered.flatMap(({ on: reversalOn, reversesId }) => {
      const reversed = byId.get(reversesId ?? '');
      return reversed === undefined || reversed.on === reversalOn ? [] : [{ reversedOn: reversed.on, reversalOn }];
    }),
  };
}

/**
 * The lots that stood in a herd, one after the other: each from the day its cattle came to the day on which the last of
 * them left. A bill after that day and before the next lot is of the lot that left, as a commission is, or a haul; one
 * before any cattle is of the first lot. The account goes on to where a bill of it was taken back, so that it is gone.
 */
export function lotsOf({ steps, bills }: LotFacts): LotDays[] {
  const lots: { from: CalendarDay; until: CalendarDay | null }[] = [];
  for (const { from, head } of steps) {
    const open = lots.at(-1)?.until === null ? lots.at(-1) : undefined;
    if (head > 0 && open === undefined) lots.push({ from, until: null });
    else if (head === 0 && open !== undefined) open.until = from;
  }
  const inOrder = [...bills.standing].sort();
  const takenBack = bills.takenBack.toSorted((one, other) => compareDays(one.reversedOn, other.reversedOn));
  return lots.map(({ from, until }, index) => {
    const [before, next] = [lots[index - 1], lots[index + 1]];
    const first = before === undefined ? inOrder.find((day) => day < from) : undefined;
    if (until === null) return { from, until, account: { from: first ?? from, until } };
    const isAfter = (day: CalendarDay): boolean => day > until && (next === undefined || day < next.from);
    let last = inOrder.findLast(isAfter) ?? until;
    for (const { reversedOn, reversalOn } of takenBack)
      if (reversedOn >= (first ?? from) && reversedOn <= last && reversalOn > last && isAfter(reversalOn))
        last = reversalOn;
    return { from, until, account: { from: first ?? from, until: last } };
  });
}

/** The days of a closeout, and the day on which the last cattle of its lot left, where it is of a lot that ended. */
export interface CloseoutDays {
  readonly from: CalendarDay;
  readonly until: CalendarDay;
  readonly lastLeft: CalendarDay | null;
}

/**
 * The days of a closeout: those asked about; where none are, those of the account of the last lot that came by `today`,
 * up to the day on which it left and the bills that came by today, or else `today`.
 */
export function closeoutDays(
  { steps, bills }: LotFacts,
  { from, until }: { readonly from?: CalendarDay | undefined; readonly until?: CalendarDay | undefined },
  today: CalendarDay,
): CloseoutDays {
  const lastDay = until ?? today;
  const known = {
    steps,
    bills: {
      standing: bills.standing.filter((day) => day <= lastDay),
      takenBack: bills.takenBack.filter(({ reversalOn }) => reversalOn <= lastDay),
    },
  };
  const lot = lotsOf(known).findLast((one) => one.from <= lastDay);
  const first = from ?? lot?.account.from ?? lastDay;
  const gone = lot?.until ?? null;
  const ended = until === undefined && gone !== null && gone <= today && gone >= first;
  const last = ended ? (lot?.account.until ?? gone) : lastDay;
  return { from: first, until: last < first ? first : last, lastLeft: ended ? gone : null };
}
