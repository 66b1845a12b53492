import { counted } from '../../core/units/counted.js';
import { ruleBroken } from '../../platform/http/problem.js';

const YEARS_MAX = 2;
const DAY_MS = 86_400_000;

/**
 * A key must end within two years, or within as many days as the owner of the operation lets keys work.
 * @throws Problem rule-broken
 */
export function keyExpiry(given: string, moment: Date, daysMost: number | null = null): string {
  const latest = new Date(moment);
  if (daysMost === null) latest.setUTCFullYear(latest.getUTCFullYear() + YEARS_MAX);
  else latest.setTime(latest.getTime() + daysMost * DAY_MS);
  const expires = new Date(given);
  if (expires <= moment || expires > latest) {
    throw ruleBroken(
      '#/expiresAt',
      'expiry-out-of-range',
      given,
      `after ${moment.toISOString()} and not after ${latest.toISOString()}`,
      daysMost === null
        ? 'A key must end within two years.'
        : `The owner lets keys work for ${counted(daysMost, 'day')} here: a key must end within that.`,
    );
  }
  return expires.toISOString();
}

/** When the replacing key ends: as asked, or after as long a life as the older key had and keys may have. */
export function rotatedExpiry(
  asked: string | undefined,
  old: { created_at: string; expires_at: string },
  moment: Date,
  daysMost: number | null = null,
): string {
  const life = Date.parse(old.expires_at) - Date.parse(old.created_at);
  const allowed = Math.min(life, (daysMost ?? Infinity) * DAY_MS);
  return keyExpiry(asked ?? new Date(moment.getTime() + allowed).toISOString(), moment, daysMost);
}

/** When the older key ends: after the overlap, but no later than it would have anyway. */
export function overlapEnd(overlapHours: number, old: { expires_at: string }, moment: Date): string {
  const end = new Date(moment.getTime() + overlapHours * 3_600_000).toISOString();
  return end < old.expires_at ? end : old.expires_at;
}
