/*
 * When a day begins and ends in a time zone, held against the reference polyfill of Temporal (ECMA-262 proposal,
 * `PlainDate.prototype.toZonedDateTime` without a time: "the first instant of the day"), which reads the same IANA
 * rules: zones of the whole list, on the days around each change of its clocks from 2020 to 2030.
 */
import type { Temporal as TemporalTypes } from 'temporal-polyfill';
import { examples } from '../../support/properties.js';
import { addDays } from '../../../src/core/time/calendar-day.js';
import { dayIn, endOfDayIn, startOfDayIn } from '../../../src/platform/clock.js';

let Temporal: typeof TemporalTypes;
beforeAll(async () => {
  ({ Temporal } = await import('temporal-polyfill'));
});

const startBy = (zone: string, day: string): string =>
  new Date(Temporal.PlainDate.from(day).toZonedDateTime({ timeZone: zone }).epochMilliseconds).toISOString();

/** The days on which clocks change in a zone, by its own transitions. */
function changes(zone: string): string[] {
  const days: string[] = [];
  let at = Temporal.ZonedDateTime.from(`2020-01-01T00:00[${zone}]`).getTimeZoneTransition('next');
  while (at !== null && at.year < 2031) {
    days.push(at.toPlainDate().toString());
    at = at.getTimeZoneTransition('next');
  }
  return days;
}

describe('a day in a time zone', () => {
  it.each([
    ['America/Asuncion', '2023-10-01', '2023-10-01T04:00:00.000Z', 'clocks skip midnight, west of Greenwich'],
    ['America/Havana', '2026-03-08', '2026-03-08T05:00:00.000Z', 'clocks skip midnight, west of Greenwich'],
    ['America/Havana', '2026-11-01', '2026-11-01T04:00:00.000Z', 'midnight comes twice'],
    ['Africa/Cairo', '2026-04-24', '2026-04-23T22:00:00.000Z', 'clocks skip midnight, east of Greenwich'],
    ['America/Denver', '2026-03-08', '2026-03-08T07:00:00.000Z', 'clocks change at two'],
  ])('%s, %s begins at %s: %s', (zone, day, instant) => {
    expect(startOfDayIn(zone, day).toISOString()).toBe(instant);
    expect(startBy(zone, day)).toBe(instant);
  });

  it('begins where the reference has it, around every change of clocks, and ends as the next begins', () => {
    const wrong: string[] = [];
    let asked = 0;
    // A search goes through all of them.
    const zones = Intl.supportedValuesOf('timeZone').filter((_, at) => examples(1) > 1 || at % 5 === 0);
    for (const zone of zones)
      for (const change of changes(zone))
        for (const day of [addDays(change, -1), change, addDays(change, 1)]) {
          asked += 1;
          const start = startOfDayIn(zone, day);
          if (start.toISOString() !== startBy(zone, day)) wrong.push(`${zone} ${day} ${start.toISOString()}`);
          if (dayIn(zone, start) !== day) wrong.push(`${zone} ${day} begins on another day`);
          if (endOfDayIn(zone, day).getTime() + 1 !== startOfDayIn(zone, addDays(day, 1)).getTime())
            wrong.push(`${zone} ${day} ends`);
        }
    expect(asked).toBeGreaterThan(1_000);
    expect([wrong.length, wrong.slice(0, 10)]).toEqual([0, []]);
  });
});
