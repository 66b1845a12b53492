/* Which days of a plan are still to be fed, from which stock, and on which day a month is judged. Plain dates. */
import { dayOfMonth, firstDayToFeed, lastDayOfStock } from '../../../src/core/season/days-to-feed.js';
import { addDays, monthSpans } from '../../../src/core/time/calendar-day.js';
import fc from '../../support/properties.js';

const day = fc.integer({ min: 0, max: 800 }).map((days) => addDays('2026-01-01', days));

describe('the days of a plan', () => {
  it('counts today until the herd has been fed on it, and any other day whole', () => {
    const today = '2026-11-30';
    expect(firstDayToFeed(today, { today, isFedToday: false })).toBe('2026-11-30');
    expect(firstDayToFeed(today, { today, isFedToday: true })).toBe('2026-12-01');
    for (const from of ['2026-11-29', '2026-12-01'])
      expect(firstDayToFeed(from, { today, isFedToday: true })).toBe(from);
  });

  it('begins today with what there is now, and any other day with what was there the evening before', () => {
    expect(lastDayOfStock('2026-11-30', '2026-11-30')).toBe('2026-11-30');
    expect(lastDayOfStock('2026-12-01', '2026-11-30')).toBe('2026-11-30');
    expect(lastDayOfStock('2026-11-01', '2026-11-30')).toBe('2026-10-31');
  });

  it.each([
    ['2026-11-01', '2026-12-01', '2026-11-15'],
    ['2026-11-28', '2026-12-01', '2026-11-28'],
    ['2026-11-15', '2026-11-16', '2026-11-15'],
    ['2026-11-01', '2026-11-11', '2026-11-10'],
  ])('judges a month asked about from %s to %s on %s', (from, until, on) => {
    expect(dayOfMonth({ month: '2026-11', from, until })).toBe(on);
  });

  it('judges each month on a day of it that was asked about', () => {
    fc.assert(
      fc.property(day, fc.integer({ min: 1, max: 400 }), (from, days) => {
        for (const span of monthSpans(from, addDays(from, days))) {
          const on = dayOfMonth(span);
          expect(on >= span.from && on < span.until && on.startsWith(span.month)).toBe(true);
        }
      }),
    );
  });
});
