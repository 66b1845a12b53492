/** Used where nothing is given; where it matters, the answer says so in a note. */
export const DEFAULTS = {
  /** NRC 2000, Table 4-2. */
  calfBirthWeightKg: 38.5,
  /** NRC 2000 tables of beef cows (from memory). */
  peakMilkKgPerDay: 8,
  /**
   * The curve by weeks starts at no milk on the day of calving; in the first week its value at week 1 is taken. Common
   * practice, no source.
   */
  milkCurveFromWeek: 1,
  /** NRC 2000, table of growing cattle. */
  finalShrunkBodyWeightKg: 533,
  /** Common practice, no source. */
  hairDepthCm: 1.5,
  waterTemperatureC: 10,
  availableForageTonnesPerHectare: 2,
  pastureDigestibility: 0.6,
} as const;
