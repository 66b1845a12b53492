/** The only clock. Everything below the edge gets the moment passed in. */
export interface Clock {
  now(): Date;
}

export const CLOCK = Symbol('clock');

export const systemClock: Clock = { now: () => new Date() };

/** The calendar day ('YYYY-MM-DD') at `moment` in an IANA time zone. */
export function dayIn(timeZone: string, moment: Date): string {
  return new Intl.DateTimeFormat('en-CA', { timeZone, year: 'numeric', month: '2-digit', day: '2-digit' }).format(
    moment,
  );
}

/** Minutes by which a zone's clock is ahead of UTC at an instant. */
function offsetMinutes(timeZone: string, instant: Date): number {
  const parts = new Intl.DateTimeFormat('en-US', {
    timeZone,
    hourCycle: 'h23',
    year: 'numeric',
    month: 'numeric',
    day: 'numeric',
    hour: 'numeric',
    minute: 'numeric',
    second: 'numeric',
  }).formatToParts(instant);
  const part = (type: Intl.DateTimeFormatPartTypes): number =>
    Number(parts.find((one) => one.type === type)?.value ?? 0);
  const asUtc = Date.UTC(part('year'), part('month') - 1, part('day'), part('hour'), part('minute'), part('second'));
  return Math.round((asUtc - instant.getTime()) / 60_000);
}

/** The instant at which a day begins in a zone (where clocks skip midnight, the first instant after it). */
export function startOfDayIn(timeZone: string, day: string): Date {
  const utcMidnight = new Date(`${day}T00:00:00Z`);
  const first = new Date(utcMidnight.getTime() - offsetMinutes(timeZone, utcMidnight) * 60_000);
  // The offset may differ between UTC midnight and local midnight on the day the clocks change.
  return new Date(utcMidnight.getTime() - offsetMinutes(timeZone, first) * 60_000);
}

/** The last millisecond of a day in a zone. */
export function endOfDayIn(timeZone: string, day: string): Date {
  const next = new Date(Date.parse(`${day}T00:00:00Z`) + 86_400_000).toISOString().slice(0, 10);
  return new Date(startOfDayIn(timeZone, next).getTime() - 1);
}
