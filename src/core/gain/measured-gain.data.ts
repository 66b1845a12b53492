/** Which weighings of a herd can be compared with the gain wanted. */
export const MEASURED_GAIN_GUIDES = {
  /** The newest weighing and the one it is measured from must both be within this many days. */
  windowDays: { value: 90, source: 'common practice, no source' },
  /**
   * Closer together than this, fill outweighs gain: at 29 days daily gain still depended on the hours of fasting
   * (Aiken and Tabler 2004); 21 is the least that is reported at all, and with that caution.
   */
  leastDays: { value: 21, source: 'common practice, no source' },
  /** Where more of the herd came or went in between, the two means are of different cattle. */
  mostHeadChangedShare: { value: 0.1, source: 'common practice, no source' },
  /** Where fewer of the herd were weighed, the mean is of some of them only. */
  leastWeighedShare: { value: 0.5, source: 'common practice, no source' },
} as const;
