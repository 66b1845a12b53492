/** Warn when a printed relative feed value differs by more than this from what its own fibers give. */
export const RELATIVE_FEED_VALUE_TOLERANCE = {
  points: 6,
  source: 'published tables round intermediates and differ by up to about 2; 6 is common practice, no source',
} as const;
/** CP, fiber, fat and ash overlap a little (protein in fiber), so their sum may pass 100 by no more than this. */
export const SUM_OF_PARTS_LIMIT = {
  percent: 103,
  source:
    'composition: 0.93·NDF + CP + fat + ash cannot exceed the dry matter but for laboratory error (NRC 2001 factor)',
} as const;
