/** Below this a figure of nitrate other than 0 is taken for one of percent that was typed as parts per million. */
export const NITRATE_OF_ANOTHER_UNIT = {
  value: 10,
  unit: 'ppm NO3-N',
  source: 'labs report nitrate of forage in hundreds of ppm or in hundredths of a percent (common practice, no source)',
} as const;

export const isNitrateOfAnotherUnit = (ppm: number): boolean => ppm > 0 && ppm < NITRATE_OF_ANOTHER_UNIT.value;

/** What such a test is worth, in words that follow the name of the lot and what is said of its kind. */
export const wordsOfAnotherUnit = (ppm: number): string =>
  `its test says ${Number(ppm.toFixed(2))} ppm NO3-N, which a lab would print in percent: check the unit`;
