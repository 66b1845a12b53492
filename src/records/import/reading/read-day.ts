import type { DAY_ORDERS } from '../../../platform/wire/words.data.js';
import { isCalendarDay } from '../../../core/time/calendar-day.js';

/** Which of the two numbers before the year is the month. */
export type DayOrder = (typeof DAY_ORDERS)[number];

/** A day whose order is to be found: 11/15/2025 or 15.11.2025. */
export interface NumericDay {
  readonly first: number;
  readonly second: number;
  readonly year: number;
}

const MONTHS = ['jan', 'feb', 'mar', 'apr', 'may', 'jun', 'jul', 'aug', 'sep', 'oct', 'nov', 'dec'];
const MONTH_NAMES = [
  ...['january', 'february', 'march', 'april', 'may', 'june', 'july', 'august', 'september', 'october'],
  ...['november', 'december'],
];
const NUMERIC = /^(?<first>\d{1,2})(?<mark>[/.-])(?<second>\d{1,2})\k<mark>(?<year>\d{4}|\d{2})$/;
const YEAR_FIRST = /^(?<year>\d{4})[/.-](?<month>\d{1,2})[/.-](?<day>\d{1,2})$/;
/** "15 Nov 2026" and "Nov 15, 2026", with the day of the week before them or not. */
const NAMED = RegExp(
  '^(?:[a-z]+,?\\s+)?(?:(?<early>\\d{1,2})[\\s.-]+(?<one>[a-z]+)\\.?|' +
    '(?<other>[a-z]+)\\.?[\\s-]+(?<late>\\d{1,2})(?:st|nd|rd|th)?)[\\s,-]+(?<year>\\d{4}|\\d{2})$',
  'i',
);
/** What a workbook or a database writes after a day without a time. */
const MIDNIGHT = /[T\s]+0?0:00(?::00(?:\.0+)?)?(?:\s*Z)?$/i;

/** No day is longer, with its names and a time: a longer text is not looked at. */
const DAY_LETTERS = 60;

/** A day that can be meant in one way only, as YYYY-MM-DD; else its numbers; undefined where it is no day. */
export function dayInCell(text: string): string | NumericDay | undefined {
  if (text.length > DAY_LETTERS) return undefined;
  const cell = text.trim().replace(MIDNIGHT, '');
  const yearFirst = YEAR_FIRST.exec(cell)?.groups;
  if (yearFirst !== undefined) return calendarDay(yearFirst['year'], yearFirst['month'], yearFirst['day']);
  const named = NAMED.exec(cell)?.groups;
  if (named !== undefined) {
    const month = monthOf(named['one'] ?? named['other'] ?? '');
    return month === undefined ? undefined : calendarDay(yearOf(named['year']), month, named['early'] ?? named['late']);
  }
  const numeric = NUMERIC.exec(cell)?.groups;
  if (numeric === undefined) return undefined;
  const day: NumericDay = {
    first: Number(numeric['first']),
    second: Number(numeric['second']),
    year: Number(yearOf(numeric['year'])),
  };
  return day.first === day.second ? dayUnder(day, 'day-first') : day;
}

/** Which order these numbers show to be meant; undefined where both can be, or neither. */
export function orderShownBy({ first, second }: NumericDay): DayOrder | undefined {
  if (first > 12 && second <= 12) return 'day-first';
  if (second > 12 && first <= 12) return 'month-first';
  return undefined;
}

/** As YYYY-MM-DD; undefined where there is no such day. */
export function dayUnder({ first, second, year }: NumericDay, order: DayOrder): string | undefined {
  return order === 'day-first' ? calendarDay(year, second, first) : calendarDay(year, first, second);
}

function calendarDay(
  year: string | number | undefined,
  month: string | number | undefined,
  day: string | number | undefined,
): string | undefined {
  const text = `${year ?? ''}-${String(month ?? '').padStart(2, '0')}-${String(day ?? '').padStart(2, '0')}`;
  return isCalendarDay(text) ? text : undefined;
}

function monthOf(word: string): number | undefined {
  const name = word.toLowerCase();
  const at = MONTHS.indexOf(name === 'sept' ? 'sep' : name);
  const found = at === -1 ? MONTH_NAMES.indexOf(name) : at;
  return found === -1 ? undefined : found + 1;
}

/** Records of a ranch are of this century. */
function yearOf(text = ''): string {
  return text.length === 2 ? `20${text}` : text;
}
