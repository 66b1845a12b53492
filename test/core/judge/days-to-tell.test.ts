/* Which days of a file are judged one by one. Figures are common practice, no source. Invented. */
import { addDays } from '../../../src/core/time/calendar-day.js';
import { daysToTell } from '../../../src/core/judge/days-to-tell.js';

const winter = (herdId: string, change: Record<number, { kilograms?: number; lotIds?: string[] }> = {}) =>
  Array.from({ length: 60 }, (_, index) => ({
    herdId,
    day: addDays('2026-11-01', index),
    kilograms: 1_000 + (index % 5) * 40,
    lotIds: ['meadow'],
    ...change[index],
  }));
const dayNumbers = (days: readonly { day: string }[]): string[] => days.map(({ day }) => day.slice(5));
const NEWEST = ['12-24', '12-25', '12-26', '12-27', '12-28', '12-29', '12-30'];

it('of an even winter the last week of each herd', () => {
  const told = daysToTell([...winter('cows'), ...winter('calves')], () => false);
  expect(dayNumbers(told)).toEqual([...NEWEST, ...NEWEST]);
});

it('a ten-fold day and a tenth of a day, however old', () => {
  const days = winter('cows', { 3: { kilograms: 10_000 }, 9: { kilograms: 100 }, 12: { kilograms: 1_900 } });
  expect(dayNumbers(daysToTell(days, () => false))).toEqual(['11-04', '11-10', ...NEWEST]);
});

it('every day with a lot that may do harm in one meal', () => {
  const days = winter('cows', { 20: { lotIds: ['meadow', 'oats'] } });
  expect(dayNumbers(daysToTell(days, (lotId) => lotId === 'oats'))).toEqual(['11-21', ...NEWEST]);
});

it('all of a short file', () => {
  const days = winter('cows').slice(0, 7);
  expect(daysToTell(days, () => false)).toEqual(days);
});
