/* When a message that did not arrive is tried again; the plan alone, without a server. */
import { nextPause, restAfter, retryAfterSeconds } from '../../src/office/webhooks/retry-plan.js';
import {
  REST_MOST,
  RETRY_AFTER_MOST,
  RETRY_PAUSES,
  RETRY_SPREAD,
  TRIES_MOST,
} from '../../src/office/webhooks/retry-plan.data.js';
import fc, { examples } from '../support/properties.js';

const NOW = new Date('2027-01-15T15:00:00Z');

it('pauses grow, are spread by chance, and last about a day in all', () => {
  expect([...RETRY_PAUSES]).toEqual([...RETRY_PAUSES].sort((one, other) => one - other));
  const all = (chance: number): number =>
    RETRY_PAUSES.reduce((sum, _, at) => sum + (nextPause(at + 1, undefined, chance) ?? NaN), 0) / 3600;
  expect(all(0)).toBeGreaterThan(20);
  expect(all(1)).toBeLessThan(28);
  expect(nextPause(TRIES_MOST, undefined, 0)).toBeUndefined();
  fc.assert(
    fc.property(
      fc.integer({ min: 1, max: TRIES_MOST - 1 }),
      fc.option(fc.integer({ min: 0, max: RETRY_AFTER_MOST }), { nil: undefined }),
      fc.double({ min: 0, max: 1, noNaN: true }),
      (tries, asked, chance) => {
        const pause = nextPause(tries, asked, chance) ?? NaN;
        const planned = RETRY_PAUSES[tries - 1] ?? NaN;
        expect(pause).toBeGreaterThanOrEqual(Math.max(planned, asked ?? 0));
        expect(pause).toBeLessThanOrEqual(Math.max(planned * (1 + RETRY_SPREAD), asked ?? 0));
      },
    ),
    { numRuns: examples(200) },
  );
});

it('a Retry-After is read in both its forms, and not believed beyond a day (RFC 9110, 10.2.3)', () => {
  // The examples of RFC 9110, 10.2.3: a date, and a delay of two minutes.
  expect(retryAfterSeconds('120', NOW)).toBe(120);
  expect(retryAfterSeconds('Fri, 31 Dec 1999 23:59:59 GMT', new Date('1999-12-31T23:58:59Z'))).toBe(60);
  expect(retryAfterSeconds('Fri, 31 Dec 1999 23:59:59 GMT', NOW)).toBe(0);
  expect(retryAfterSeconds('999999999', NOW)).toBe(RETRY_AFTER_MOST);
  expect(retryAfterSeconds('Sat, 01 Jan 2090 00:00:00 GMT', NOW)).toBe(RETRY_AFTER_MOST);
  for (const nonsense of [undefined, '', 'soon', '-5', '1e9', '1.5', 'Foo, bar', '2027-01-16'])
    expect([nonsense, retryAfterSeconds(nonsense, NOW)]).toEqual([nonsense, undefined]);
});

it('a receiver that fails again and again is left alone for longer and longer, up to half an hour', () => {
  const rests = Array.from({ length: 40 }, (_, failures) => restAfter(failures));
  expect(rests.slice(0, 6)).toEqual([0, 0, 0, 60, 120, 240]);
  expect(rests).toEqual([...rests].sort((one, other) => one - other));
  expect(rests.at(-1)).toBe(REST_MOST);
});
