/**
 * How evenly whole bales are laid over days. Nobody published how much a herd's hay may differ from one day to the
 * next; these are choices of this program.
 */
export const BALE_DAYS = {
  /** A day's hay may be so much above or below the need, where whole bales can keep to it. */
  totalBand: { share: 0.15, source: 'common practice, no source' },
  /** So many days are told ahead, and the band is stated for them. */
  daysTold: 14,
  /** So many days are looked at, so that what is told does not run into a corner behind its end. */
  daysLookedAt: 42,
  /**
   * So many days, begun with nothing carried, say how wide the band of a ration has to be: what comes less often than
   * once in a season is not stated in advance.
   */
  daysOfTheBand: 90,
} as const;
