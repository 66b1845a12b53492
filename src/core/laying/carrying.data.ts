/** What is counted from day to day, where nobody writes it down. Nobody published it; a choice of this program. */
export const CARRYING = {
  /** After so many days without a feeding on record, bales stand as if none were open and nothing were owed. */
  startsAnewAfterDays: { value: 28, source: 'common practice, no source' },
  /** Hay that is left of a lot and weighs less than this share of its mean bale is no whole bale any more. */
  lightestBaleShare: { value: '0.9', source: 'common practice, no source' },
} as const;
