/** What of the feedings on record is what a herd is fed at present. Choices of this program; nobody published them. */
export const PRESENT_FEEDING = {
  /** The mean of so many days, ending with the last day on which the herd was fed. */
  days: { value: 7, source: 'common practice, no source' },
  /**
   * What a herd is used to is the mean of as many days before the one that is judged, of those on which it is known
   * what it was fed, and none of them further back than two weeks: Manitoba Agriculture has cattle adapt over one to
   * two weeks.
   */
  knownBeforeDays: { value: 14, source: 'manitobaAdaptation' },
  /** A herd whose last feeding lies further back is fed something else by now: it grazes, or nobody writes it down. */
  notOlderThanDays: { value: 28, source: 'common practice, no source' },
  /** Beside bales for several days, less than this share of what cattle eat in a day is a supplement to them. */
  supplementOfADay: { value: 0.5, source: 'common practice, no source' },
  /**
   * Feedings of one day to parts of the herd, which together make up at least this share of it and no more than all,
   * went to different cattle. Fewer head in all may as well be the same cattle, fed twice.
   */
  sharesOfWholeHerd: { value: 0.9, source: 'common practice, no source' },
} as const;
