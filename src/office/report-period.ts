import { addDays, daysBetween } from '../core/time/calendar-day.js';
import { Problem } from '../platform/http/problem.js';

const DAYS_MAX = 1100;

/** The days of a report as a half-open span for the core. @throws Problem where the days are reversed or too many. */
export function spanOf({ from, until }: { from: string; until: string }): { from: string; end: string; days: number } {
  const days = daysBetween(from, until) + 1;
  if (days < 1)
    throw new Problem('invalid-input', undefined, [
      {
        parameter: 'until',
        code: 'span-reversed',
        given: until,
        allowed: `${from} or later`,
        message: 'The last day is before the first.',
      },
    ]);
  if (days > DAYS_MAX)
    throw new Problem('invalid-input', undefined, [
      {
        parameter: 'until',
        code: 'span-too-long',
        given: until,
        allowed: `at most ${DAYS_MAX} days after ${from}`,
        message: 'Ask for at most three years at a time.',
      },
    ]);
  return { from, end: addDays(until, 1), days };
}
