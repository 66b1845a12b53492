/** The only clock of the house. Everything below the edge is handed the moment. */
export interface Clock {
  now(): Date;
}

export const CLOCK = Symbol('clock');

export const systemClock: Clock = { now: () => new Date() };

/** The calendar day ('YYYY-MM-DD') that it is at `moment` in an IANA time zone. */
export function dayIn(timeZone: string, moment: Date): string {
  return new Intl.DateTimeFormat('en-CA', { timeZone, year: 'numeric', month: '2-digit', day: '2-digit' }).format(moment);
}
