/** What of the feedings on record is what a herd is fed at present. Choices of this program; nobody published them. */
export const PRESENT_FEEDING = {
  /** The mean of so many days, ending with the last day on which the herd was fed. */
  days: { value: 7, source: 'common practice, no source' },
  /** A herd whose last feeding lies further back is fed something else by now: it grazes, or nobody writes it down. */
  notOlderThanDays: { value: 28, source: 'common practice, no source' },
} as const;
