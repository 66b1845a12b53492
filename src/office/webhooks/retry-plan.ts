import {
  REST_FIRST,
  REST_FROM_FAILURES,
  REST_MOST,
  RETRY_AFTER_MOST,
  RETRY_PAUSES,
  RETRY_SPREAD,
} from './retry-plan.data.js';

/**
 * Seconds until the next attempt; undefined after the last.
 * @param tries Attempts made, this one included
 * @param asked Seconds for which the receiver asked to be left alone
 * @param chance Where in its spread the pause lies, 0 to 1
 */
export function nextPause(tries: number, asked: number | undefined, chance: number): number | undefined {
  const pause = RETRY_PAUSES[tries - 1];
  if (pause === undefined) return undefined;
  return Math.max(pause * (1 + RETRY_SPREAD * chance), asked ?? 0);
}

/** Seconds for which nothing at all is sent to a receiver that has failed so many times in a row; 0: it goes on. */
export function restAfter(failuresInRow: number): number {
  if (failuresInRow < REST_FROM_FAILURES) return 0;
  return Math.min(REST_FIRST * 2 ** Math.min(failuresInRow - REST_FROM_FAILURES, 20), REST_MOST);
}

/** Seconds that a Retry-After asks for (RFC 9110, 10.2.3: seconds or a date); undefined where it is neither. */
export function retryAfterSeconds(header: string | undefined, now: Date): number | undefined {
  if (header === undefined) return undefined;
  const text = header.trim();
  const seconds = /^\d{1,9}$/.test(text)
    ? Number(text)
    : /^[A-Z][a-z]{2}, /.test(text)
      ? (Date.parse(text) - now.getTime()) / 1000
      : NaN;
  return Number.isNaN(seconds) ? undefined : Math.min(Math.max(0, seconds), RETRY_AFTER_MOST);
}
