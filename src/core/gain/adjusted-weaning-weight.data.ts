/**
 * Age-of-dam additions, in pounds, by sex of calf. Source: Beef Improvement Federation Guidelines, as given by Michigan
 * State University Extension, Calculating calf adjusted weaning weights and herd indexes. Age of the dam in whole years
 * at calving.
 */
export const AGE_OF_DAM_ADDITIONS = [
  { fromYears: 2, toYears: 2, maleLb: 60, femaleLb: 54, birthLb: 8 },
  { fromYears: 3, toYears: 3, maleLb: 40, femaleLb: 36, birthLb: 5 },
  { fromYears: 4, toYears: 4, maleLb: 20, femaleLb: 18, birthLb: 2 },
  { fromYears: 5, toYears: 10, maleLb: 0, femaleLb: 0, birthLb: 0 },
  { fromYears: 11, toYears: null, maleLb: 20, femaleLb: 18, birthLb: 3 },
] as const;
export const AGE_OF_DAM_SOURCE =
  'Beef Improvement Federation Guidelines, as given by Michigan State University Extension';

/** Calves must be weaned at this age for the adjustment to hold. */
export const WEANING_AGE_DAYS = { youngest: 160, oldest: 250, standard: 205 } as const;
