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

const A_DAY_MS = 86_400_000;

/**
 * The instant at which a day begins in a zone: the first midnight, or where clocks skip it the instant at which they
 * do. Zones follow the IANA rules of ICU, which Node carries.
 */
export function startOfDayIn(timeZone: string, day: string): Date {
  const utcMidnight = Date.parse(`${day}T00:00:00Z`);
  // No zone is a day from UTC, so these are the offsets before and after any change of the clocks around midnight.
  const [before, after] = [-1, 1].map((days) => offsetMinutes(timeZone, new Date(utcMidnight + days * A_DAY_MS)));
  const midnightAt = (offset = 0): Date => new Date(utcMidnight - offset * 60_000);
  if (before === after) return midnightAt(before);
  const first = midnightAt(before);
  const isMidnight = (offset = 0): boolean => offsetMinutes(timeZone, midnightAt(offset)) === offset;
  return isMidnight(before) || !isMidnight(after) ? first : midnightAt(after);
}

/** The last millisecond of a day in a zone. */
export function endOfDayIn(timeZone: string, day: string): Date {
  const next = new Date(Date.parse(`${day}T00:00:00Z`) + A_DAY_MS).toISOString().slice(0, 10);
  return new Date(startOfDayIn(timeZone, next).getTime() - 1);
}
