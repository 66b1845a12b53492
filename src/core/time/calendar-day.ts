/**
 * Calendar days as text, 'YYYY-MM-DD', in the proleptic Gregorian calendar (ISO 8601:2019, years 0001 to 9999).
 * A day has no hour and no zone: a ranch's day is whatever the ranch calls today.
 */
export type CalendarDay = string;

const DAY_TEXT = /^(\d{4})-(\d{2})-(\d{2})$/;
const MILLISECONDS_PER_DAY = 86_400_000;

/** Whether the text is a day that exists: '2024-02-29' is, '2023-02-29' and '2024-2-9' are not. */
export function isCalendarDay(text: string): boolean {
  const match = DAY_TEXT.exec(text);
  if (!match) return false;
  const [year, month, day] = [Number(match[1]), Number(match[2]), Number(match[3])];
  return year >= 1 && month >= 1 && month <= 12 && day >= 1 && day <= daysInMonth(year, month);
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
  const date = new Date(Date.UTC(2000, Number(day.slice(5, 7)) - 1, Number(day.slice(8, 10))));
  // Date.UTC reads years below 100 as 19xx, so the year is set on its own.
  date.setUTCFullYear(Number(day.slice(0, 4)), Number(day.slice(5, 7)) - 1, Number(day.slice(8, 10)));
  return Math.round(date.getTime() / MILLISECONDS_PER_DAY);
}

/** The day of a day number. @throws RangeError if it is not a whole number or falls outside the years 1 to 9999. */
export function dayFromNumber(number: number): CalendarDay {
  if (!Number.isInteger(number)) throw new RangeError(`Not a whole day number: ${number}`);
  const date = new Date(number * MILLISECONDS_PER_DAY);
  const year = date.getUTCFullYear();
  if (!(year >= 1 && year <= 9999)) throw new RangeError(`Day number outside the calendar: ${number}`);
  const text = (value: number, width: number): string => String(value).padStart(width, '0');
  return `${text(year, 4)}-${text(date.getUTCMonth() + 1, 2)}-${text(date.getUTCDate(), 2)}`;
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
