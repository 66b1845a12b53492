/** The only clock. Everything below the edge gets the moment passed in. */
export interface Clock {
  now(): Date;
}

export const CLOCK = Symbol('clock');

export const systemClock: Clock = { now: () => new Date() };

/** Making a zone's formatter takes far longer than using it; there are some 600 zones. */
function oncePerZone(options: Intl.DateTimeFormatOptions, locale: string): (timeZone: string) => Intl.DateTimeFormat {
  const made = new Map<string, Intl.DateTimeFormat>();
  return (timeZone) => {
    let format = made.get(timeZone);
    if (format === undefined) made.set(timeZone, (format = new Intl.DateTimeFormat(locale, { ...options, timeZone })));
    return format;
  };
}

const dayFormat = oncePerZone({ year: 'numeric', month: '2-digit', day: '2-digit' }, 'en-CA');
const partsFormat = oncePerZone(
  {
    hourCycle: 'h23',
    year: 'numeric',
    month: 'numeric',
    day: 'numeric',
    hour: 'numeric',
    minute: 'numeric',
    second: 'numeric',
  },
  'en-US',
);

/** The calendar day ('YYYY-MM-DD') at `moment` in an IANA time zone. */
export function dayIn(timeZone: string, moment: Date): string {
  return dayFormat(timeZone).format(moment);
}

/** Minutes by which a zone's clock is ahead of UTC at an instant. */
function offsetMinutes(timeZone: string, instant: Date): number {
  const parts = partsFormat(timeZone).formatToParts(instant);
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
