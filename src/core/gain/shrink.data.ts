/**
 * Shrunk weight is full weight × 0.96: the standard 4 % shrink of NRC, Nutrient Requirements of Beef Cattle, 2000
 * update, chapter 3.
 */
export const STANDARD_SHRUNK_SHARE = '0.96';

/** Shrink of live weight by hours off feed and water. */
export const SHRINK_BY_HOURS = {
  /** Share of weight lost per hour in the first hours, and per hour after them. */
  firstHours: 4,
  perFirstHour: '0.01',
  thenHours: 10,
  perLaterHour: '0.0025',
  source:
    'Mississippi State University Extension P2577, Understanding and Managing Cattle Shrink: about 1 % an hour ' +
    'for the first 3 to 4 hours, then 0.25 % an hour for the next 8 to 10',
} as const;

/** What buyers commonly take off a weight on paper, the pencil shrink. */
export const PENCIL_SHRINK = {
  commonLow: '0.02',
  commonHigh: '0.04',
  seenLow: '0',
  seenHigh: '0.05',
  source: 'Noble Research Institute, Managing shrink, 1998; Alberta Farmer Express, 2017',
} as const;
