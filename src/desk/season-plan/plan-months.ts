import { dayOfMonth } from '../../core/season/days-to-feed.js';
import { type CalendarDay, monthOf, monthSpans, type MonthSpan } from '../../core/time/calendar-day.js';

/** A month of the plan and the day that represents it. */
export interface PlanMonth extends MonthSpan {
  onDay: CalendarDay;
  /** First day that the plan is about: of the present month today, of any other its first. */
  plansFrom: CalendarDay;
}

export const MONTHS_MAX = 13;
const USUAL_MONTHS = 7;

/** Adds a number of months to one like `2025-11`. */
function monthsOn(month: string, months: number): string {
  const [year, number] = month.split('-').map(Number) as [number, number];
  const count = year * 12 + (number - 1) + months;
  return `${String(Math.floor(count / 12)).padStart(4, '0')}-${String((count % 12) + 1).padStart(2, '0')}`;
}

/**
 * The months of a plan, first and last included; `undefined` if there are none or too many. A plan that begins with
 * the present month starts from the stock of today, so what was fed before counts neither as needed nor as on hand.
 */
export function planMonths(
  asked: { from?: string | undefined; until?: string | undefined },
  today: CalendarDay,
): PlanMonth[] | undefined {
  const from = asked.from ?? monthOf(today);
  const until = asked.until ?? monthsOn(from, USUAL_MONTHS - 1);
  if (until < from || monthsOn(from, MONTHS_MAX - 1) < until) return undefined;
  return monthSpans(`${from}-01`, `${monthsOn(until, 1)}-01`).map((span, index) => {
    // What is over is not planned.
    const plansFrom = index === 0 && span.month === monthOf(today) ? today : span.from;
    return { ...span, plansFrom, onDay: dayOfMonth({ ...span, from: plansFrom }) };
  });
}
