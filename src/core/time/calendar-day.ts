/**
 * Calendar days as text, 'YYYY-MM-DD', in the proleptic Gregorian calendar (ISO 8601:2019, years 0001 to 9999).
 * A day has no hour and no zone: a ranch's day is whatever the ranch calls today.
 */
export type CalendarDay = string;

const MILLISECONDS_PER_DAY = 86_400_000;
/** The Gregorian calendar repeats itself every 400 years, which are so many days. */
const [CYCLE_YEARS, CYCLE_DAYS] = [400, 146_097];
const TWO_DIGITS = Array.from({ length: 100 }, (_, number) => String(number).padStart(2, '0'));
const [ZERO, NINE, DASH] = [48, 57, 45];

/** Whether the text is a day that exists: '2024-02-29' is, '2023-02-29' and '2024-2-9' are not. */
export function isCalendarDay(text: string): boolean {
  if (text.length !== 10) return false;
  for (let at = 0; at < 10; at += 1) {
    const code = text.charCodeAt(at);
    if (at === 4 || at === 7 ? code !== DASH : code < ZERO || code > NINE) return false;
  }
  const [year, month, day] = [digitsIn(text, 0, 4), digitsIn(text, 5, 7), digitsIn(text, 8, 10)];
  return year >= 1 && month >= 1 && month <= 12 && day >= 1 && day <= daysInMonth(year, month);
}

/** Reports ask for the number of a day by the thousand, so this makes no text of its own. */
function digitsIn(text: string, from: number, until: number): number {
  let number = 0;
  for (let at = from; at < until; at += 1) number = number * 10 + text.charCodeAt(at) - ZERO;
  return number;
}

/** Gregorian rule: every fourth year, but of the century years only every fourth. */
export function isLeapYear(year: number): boolean {
  return (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
}

/** @param month 1 to 12. @throws RangeError on another month. */
export function daysInMonth(year: number, month: number): number {
  if (!Number.isInteger(month) || month < 1 || month > 12) throw new RangeError(`No month ${month}`);
  if (month === 2) return isLeapYear(year) ? 29 : 28;
  return month === 4 || month === 6 || month === 9 || month === 11 ? 30 : 31;
}

/** Days since 1970-01-01, negative before it. @throws RangeError if the text is not a day. */
export function dayNumber(day: CalendarDay): number {
  if (!isCalendarDay(day)) throw new RangeError(`Not a calendar day (YYYY-MM-DD): ${day}`);
  // Date.UTC reads years below 100 as 19xx, so it is asked one cycle later.
  const later = Date.UTC(digitsIn(day, 0, 4) + CYCLE_YEARS, digitsIn(day, 5, 7) - 1, digitsIn(day, 8, 10));
  return later / MILLISECONDS_PER_DAY - CYCLE_DAYS;
}

/** The day of a day number. @throws RangeError if it is not a whole number or falls outside the years 1 to 9999. */
export function dayFromNumber(number: number): CalendarDay {
  if (!Number.isInteger(number)) throw new RangeError(`Not a whole day number: ${number}`);
  const date = new Date(number * MILLISECONDS_PER_DAY);
  const year = date.getUTCFullYear();
  if (!(year >= 1 && year <= 9999)) throw new RangeError(`Day number outside the calendar: ${number}`);
  return `${TWO_DIGITS[Math.floor(year / 100)]}${TWO_DIGITS[year % 100]}-${TWO_DIGITS[date.getUTCMonth() + 1]}-${
    TWO_DIGITS[date.getUTCDate()]
  }`;
}

export function addDays(day: CalendarDay, days: number): CalendarDay {
  return dayFromNumber(dayNumber(day) + days);
}

/** Days from `from` to `until`, negative if `until` is earlier: from the 1st to the 3rd it is 2. */
export function daysBetween(from: CalendarDay, until: CalendarDay): number {
  return dayNumber(until) - dayNumber(from);
}

export function compareDays(one: CalendarDay, other: CalendarDay): -1 | 0 | 1 {
  const difference = dayNumber(one) - dayNumber(other);
  return difference < 0 ? -1 : difference > 0 ? 1 : 0;
}

/** 'YYYY-MM' of a day. */
export function monthOf(day: CalendarDay): string {
  if (!isCalendarDay(day)) throw new RangeError(`Not a calendar day (YYYY-MM-DD): ${day}`);
  return day.slice(0, 7);
}

export interface MonthSpan {
  readonly month: string;
  readonly from: CalendarDay;
  readonly until: CalendarDay;
}

/** [from, until) cut at month ends: each piece half-open, together the whole span. */
export function monthSpans(from: CalendarDay, until: CalendarDay): MonthSpan[] {
  const spans: MonthSpan[] = [];
  let start = from;
  while (compareDays(start, until) < 0) {
    const [year, month] = [Number(start.slice(0, 4)), Number(start.slice(5, 7))];
    const nextMonth = addDays(`${start.slice(0, 7)}-01`, daysInMonth(year, month));
    const end = compareDays(nextMonth, until) < 0 ? nextMonth : until;
    spans.push({ month: start.slice(0, 7), from: start, until: end });
    start = end;
  }
  return spans;
}
