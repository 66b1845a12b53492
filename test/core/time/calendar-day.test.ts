import fc from '../../support/properties.js';
import {
  addDays,
  compareDays,
  dayFromNumber,
  dayNumber,
  daysBetween,
  daysInMonth,
  isCalendarDay,
  isLeapYear,
  monthSpans,
} from '../../../src/core/time/calendar-day.js';

const anyDay = fc.integer({ min: dayNumber('0001-01-01'), max: dayNumber('9999-12-31') }).map(dayFromNumber);

describe('calendar days', () => {
  // Source: Inter gravissimas (1582) as codified in ISO 8601: century years are leap only when divisible by 400.
  it.each([
    [1900, false],
    [2000, true],
    [2023, false],
    [2024, true],
    [2100, false],
    [1600, true],
  ])('year %i leap: %s', (year, leap) => {
    expect(isLeapYear(year)).toBe(leap);
  });

  // Source: POSIX.1-2017, 4.16 "Seconds Since the Epoch": day 0 is 1970-01-01. RFC 3339 (2002): 1985-04-12, 1996-12-19.
  // The Unix times 482196050 (1985-04-12) and 851042397 (1996-12-20 UTC) are 5580 and 9850 whole days of 86400 s.
  it.each([
    ['1970-01-01', 0],
    ['1985-04-12', 5580],
    ['1996-12-20', 9850],
    ['1969-12-31', -1],
  ])('%s is day %i', (day, number) => {
    expect(dayNumber(day)).toBe(number);
    expect(dayFromNumber(number)).toBe(day);
  });

  it.each(['2023-02-29', '2024-13-01', '2024-00-10', '2024-04-31', '2024-4-1', '0000-01-01', '24-01-01', ''])(
    'refuses %s',
    (text) => {
      expect(isCalendarDay(text)).toBe(false);
      expect(() => dayNumber(text)).toThrow(RangeError);
    },
  );

  it('keeps order, distance and return trip for any day of the calendar', () => {
    fc.assert(
      fc.property(anyDay, fc.integer({ min: -40_000, max: 40_000 }), (day, days) => {
        fc.pre(dayNumber(day) + days >= dayNumber('0001-01-01') && dayNumber(day) + days <= dayNumber('9999-12-31'));
        const other = addDays(day, days);
        expect(isCalendarDay(other)).toBe(true);
        expect(daysBetween(day, other)).toBe(days);
        expect(compareDays(day, other)).toBe(days > 0 ? -1 : days < 0 ? 1 : 0);
        expect(day < other).toBe(days > 0);
      }),
    );
  });

  it('cuts a span at month ends without losing a day', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 30_000 }), fc.integer({ min: 0, max: 900 }), (start, length) => {
        const [from, until] = [dayFromNumber(start), dayFromNumber(start + length)];
        const spans = monthSpans(from, until);
        expect(spans.reduce((sum, span) => sum + daysBetween(span.from, span.until), 0)).toBe(length);
        for (const span of spans) {
          expect(span.from.slice(0, 7)).toBe(span.month);
          expect(addDays(span.until, -1).slice(0, 7)).toBe(span.month);
        }
      }),
    );
    expect(daysInMonth(2024, 2)).toBe(29);
  });
});
