const MINUTE = 60;
const HOUR = 3600;

/**
 * Seconds from one attempt to the next, some 22 hours in all. That pauses grow and are spread is recommended by
 * Standard Webhooks 1.0.0 (Deliverability and reliability); the lengths are common practice, no source.
 */
export const RETRY_PAUSES: readonly number[] = [
  5,
  30,
  2 * MINUTE,
  5 * MINUTE,
  15 * MINUTE,
  30 * MINUTE,
  HOUR,
  2 * HOUR,
  4 * HOUR,
  6 * HOUR,
  8 * HOUR,
];
export const TRIES_MOST = RETRY_PAUSES.length + 1;
/** Each pause is up to so much of itself longer; common practice, no source. */
export const RETRY_SPREAD = 0.2;
/** Longer than that nobody is waited for who asks for it (Retry-After; RFC 9110, 10.2.3). */
export const RETRY_AFTER_MOST = 24 * HOUR;

/** From so many failures in a row on, a receiver is left alone for a while, twice as long each time. */
export const REST_FROM_FAILURES = 3;
export const REST_FIRST = MINUTE;
export const REST_MOST = 30 * MINUTE;

/** How many days messages are kept, for whoever looks for them or sends them again. */
export const DELIVERED_KEPT_DAYS = 30;
export const DEAD_KEPT_DAYS = 90;
/** So long a message waits for a webhook that is paused, or whose owner has left. */
export const WAITING_KEPT_DAYS = 14;
