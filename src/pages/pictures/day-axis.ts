import { addDays, type CalendarDay, dayFromNumber, dayNumber, daysBetween } from '../../core/time/calendar-day.js';
import type { PlotOptions } from '../document/draw-plot.js';
import type { Sheet } from './both-widths.js';

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'] as const;

/** "Nov 15". */
export function daySaid(day: CalendarDay): string {
  return `${MONTHS[Number(day.slice(5, 7)) - 1] ?? ''} ${Number(day.slice(8))}`;
}

/** At most so many days to name: firsts of months where there are enough of them, else days evenly apart. */
function daysToName(from: CalendarDay, until: CalendarDay, most: number): CalendarDay[] {
  const days = daysBetween(from, until);
  const all = Array.from({ length: days + 1 }, (_, index) => addDays(from, index));
  const firsts = all.filter((day) => day.endsWith('-01'));
  const named = firsts.length >= 3 ? firsts : all;
  const every = Math.max(1, Math.ceil(named.length / most));
  return named.filter((_, index) => index % every === 0);
}

/** Days from left to right; what is drawn over it gives its place as `dayNumber`. */
export function dayAxis(from: CalendarDay, until: CalendarDay, { narrow }: Sheet): NonNullable<PlotOptions['x']> {
  return {
    domain: [dayNumber(from), Math.max(dayNumber(until), dayNumber(from) + 1)],
    ticks: daysToName(from, until, narrow ? 4 : 8).map(dayNumber),
    tickFormat: (day: number) => daySaid(dayFromNumber(day)),
    label: null,
  };
}
