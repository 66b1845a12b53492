import { ruleBroken } from '../../platform/http/problem.js';

const YEARS_MAX = 2;

/** A key must end within two years. @throws Problem rule-broken */
export function keyExpiry(given: string, moment: Date): string {
  const latest = new Date(moment);
  latest.setUTCFullYear(latest.getUTCFullYear() + YEARS_MAX);
  const expires = new Date(given);
  if (expires <= moment || expires > latest) {
    throw ruleBroken(
      '#/expiresAt',
      'expiry-out-of-range',
      given,
      `after ${moment.toISOString()} and not after ${latest.toISOString()}`,
      'A key must end within two years.',
    );
  }
  return expires.toISOString();
}

/** When the replacing key ends: as asked, or after as long a life as the older key had. */
export function rotatedExpiry(
  asked: string | undefined,
  old: { created_at: string; expires_at: string },
  moment: Date,
): string {
  return keyExpiry(
    asked ?? new Date(moment.getTime() + (Date.parse(old.expires_at) - Date.parse(old.created_at))).toISOString(),
    moment,
  );
}

/** When the older key ends: after the overlap, but no later than it would have anyway. */
export function overlapEnd(overlapHours: number, old: { expires_at: string }, moment: Date): string {
  const end = new Date(moment.getTime() + overlapHours * 3_600_000).toISOString();
  return end < old.expires_at ? end : old.expires_at;
}
