/** Which days of a long file of feedings are judged one by one. Choices of this program; nobody published them. */
export const DAYS_TO_TELL = {
  /** Of each herd so many, the newest on which it was fed: a week, as long as what a herd is fed at present. */
  newest: { value: 7, source: 'common practice, no source' },
  /** A day with more than so many times the herd's usual amount, or less than that part of it, may be a slip. */
  timesUsual: { value: 2, source: 'common practice, no source' },
} as const;
