import { addDays, type CalendarDay, type MonthSpan } from '../time/calendar-day.js';

/** The day on which a plan is made, and whether the herd has been fed on it. */
export interface PlannedOn {
  readonly today: CalendarDay;
  readonly isFedToday: boolean;
}

/** The first day from `from` on whose hay is still to be laid: today counts until the herd has been fed on it. */
export function firstDayToFeed(from: CalendarDay, { today, isFedToday }: PlannedOn): CalendarDay {
  return from === today && isFedToday ? addDays(today, 1) : from;
}

/**
 * The last day whose movements count in the stock that days from `from` on are fed from: the day before, but today's
 * own where they begin today, since what was laid today is not to be laid again.
 */
export function lastDayOfStock(from: CalendarDay, today: CalendarDay): CalendarDay {
  return from === today ? today : addDays(from, -1);
}

/** The day that a month is judged on, of the days [from, until) asked about: its 15th, or the one next to it. */
export function dayOfMonth({ month, from, until }: MonthSpan): CalendarDay {
  const middle = `${month}-15`;
  const last = addDays(until, -1);
  return middle < from ? from : middle > last ? last : middle;
}
