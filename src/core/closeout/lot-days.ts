import type { HeadStep } from '../standing/head-days.js';
import type { CalendarDay } from '../time/calendar-day.js';

/** Days on which a herd had cattle without a break; `until` is the day on which the last left, null if they stand. */
export interface LotDays {
  readonly from: CalendarDay;
  readonly until: CalendarDay | null;
  /** The days of its account: with the bills that came before its cattle, or after they had left. */
  readonly account: { readonly from: CalendarDay; readonly until: CalendarDay | null };
}

/** What tells the lots of a herd: the steps of `headHistory`, and the days of its bills that stand. */
interface LotFacts {
  readonly steps: readonly HeadStep[];
  readonly bills: readonly CalendarDay[];
}

/**
 * The lots that stood in a herd, one after the other: each from the day its cattle came to the day on which the last of
 * them left. A bill after that day and before the next lot is of the lot that left, as a commission is, or a haul; one
 * before any cattle is of the first lot.
 */
export function lotsOf({ steps, bills }: LotFacts): LotDays[] {
  const lots: { from: CalendarDay; until: CalendarDay | null }[] = [];
  for (const { from, head } of steps) {
    const open = lots.at(-1)?.until === null ? lots.at(-1) : undefined;
    if (head > 0 && open === undefined) lots.push({ from, until: null });
    else if (head === 0 && open !== undefined) open.until = from;
  }
  const inOrder = [...bills].sort();
  return lots.map(({ from, until }, index) => {
    const [before, next] = [lots[index - 1], lots[index + 1]];
    const first = before === undefined ? inOrder.find((day) => day < from) : undefined;
    const last = inOrder.findLast((day) => until !== null && day > until && (next === undefined || day < next.from));
    return { from, until, account: { from: first ?? from, until: last ?? until } };
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
  const known = { steps, bills: bills.filter((day) => day <= lastDay) };
  const lot = lotsOf(known).findLast((one) => one.from <= lastDay);
  const first = from ?? lot?.account.from ?? lastDay;
  const gone = lot?.until ?? null;
  const ended = until === undefined && gone !== null && gone <= today && gone >= first;
  const last = ended ? (lot?.account.until ?? gone) : lastDay;
  return { from: first, until: last < first ? first : last, lastLeft: ended ? gone : null };
}
