/**
 * How evenly whole bales are laid over days. Nobody published how much a herd's hay may differ from one day to the
 * next; these are choices of this program.
 */
export const BALE_DAYS = {
  /** How much a day's hay may be above or below the need, where whole bales allow it. */
  totalBand: { share: 0.15, source: 'common practice, no source' },
  /** Days reported ahead; the band is stated for them. */
  daysShown: 14,
  /** Days looked at, so that the days reported do not lead into a dead end right after. */
  daysLookedAt: 42,
  /**
   * Days, started with no carry-over, that show how wide the band of a ration has to be: what happens less than once
   * a season is not stated in advance.
   */
  daysOfTheBand: 90,
} as const;
