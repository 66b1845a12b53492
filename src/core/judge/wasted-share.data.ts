/** Which feedings say what a herd wastes. Nobody published it; these are choices of this program. */
export const WASTE_MEASURED = {
  /** What was weighed in so many days, ending with the last feeding that had it weighed, counts together. */
  days: { value: 28, source: 'common practice, no source' },
  /** What was weighed longer ago says nothing of this year's feeding. */
  notOlderThanDays: { value: 366, source: 'common practice, no source' },
  /**
   * More can hardly be lost of what cattle live on: big bales on the ground without a feeder, the worst that was
   * measured, lose a little under half.
   */
  mostShare: { value: 0.6, source: 'common practice, no source' },
  /** Of single days everything may be left; a ration of which nothing is eaten can't be judged. */
  mostShareOfDays: { value: 0.99, source: 'common practice, no source' },
  /** What was laid at least for each head fed, kg as fed: of less, what was left says nothing of the herd's hay. */
  leastFedPerHeadKg: { value: 2, source: 'common practice, no source' },
} as const;
