import type { HeadStep } from '../standing/head-days.js';
import type { CalendarDay } from '../time/calendar-day.js';

/** Days on which a herd had cattle without a break; `until` is the day on which the last left, null if they stand. */
export interface LotDays {
  readonly from: CalendarDay;
  readonly until: CalendarDay | null;
}

/**
 * The lots that stood in a herd, one after the other: each from the day its cattle came to the day on which the last of
 * them left. The steps are those of `headHistory`.
 */
export function lotsOf(steps: readonly HeadStep[]): LotDays[] {
  const lots: { from: CalendarDay; until: CalendarDay | null }[] = [];
  for (const { from, head } of steps) {
    const open = lots.at(-1)?.until === null ? lots.at(-1) : undefined;
    if (head > 0 && open === undefined) lots.push({ from, until: null });
    else if (head === 0 && open !== undefined) open.until = from;
  }
  return lots;
}

/**
 * The days of a closeout: those asked about; where none are, those of the last lot that came by `today`, up to the day
 * on which it left, or else `today`.
 */
export function closeoutDays(
  steps: readonly HeadStep[],
  { from, until }: { readonly from?: CalendarDay | undefined; readonly until?: CalendarDay | undefined },
  today: CalendarDay,
): { from: CalendarDay; until: CalendarDay } {
  const lastDay = until ?? today;
  const lot = lotsOf(steps).findLast((one) => one.from <= lastDay);
  const first = from ?? lot?.from ?? lastDay;
  const gone = lot?.until ?? null;
  const last = until === undefined && gone !== null && gone <= today && gone >= first ? gone : lastDay;
  return { from: first, until: last < first ? first : last };
}
