/** Limits of a mixture that no caution of the catalogue covers. */
export const SAFE_LIMITS = {
  /** More fat than this hinders the digestion of fiber. */
  fatPercent: {
    value: 6,
    unit: '% of dry matter',
    source:
      'Hess, Moss & Rule 2008, J. Anim. Sci. 86:E188, and extension teaching on fat in forage diets (from memory)',
  },
  /** Nobody lays less of a hay than this: a share of it stands in no ration, however cheap. */
  leastForageKg: {
    value: 0.45359237,
    unit: 'kg as fed a head a day',
    source: 'one pound; common practice, no source',
  },
  /** Mineral, salt and supplements are weighed out by the ounce for the whole herd. */
  leastOtherKg: {
    value: 0.0045359237,
    unit: 'kg as fed a head a day',
    source: 'a hundredth of a pound; common practice, no source',
  },
  /** Salt and mineral of any kind together, where no amount of them is asked for. */
  mostMineralKg: {
    value: 0.1133980925,
    unit: 'kg as fed a head a day',
    source:
      'four ounces: mineral is made to be taken by 2 to 4 oz a head a day (University of Nebraska Extension) or 3 to ' +
      '4 oz (University of Kentucky Extension on ASC-249)',
  },
  /** From this much salt in its dry matter a mineral feed is plain salt. */
  plainSaltPercent: { value: 90, unit: '% salt', source: 'common practice, no source' },
} as const;

/**
 * Limits are set this much inside the threshold of the caution: an answer is told to a hundredth of a pound, and laid
 * as it was told it must not raise what it was made to keep.
 */
export const INSIDE = 1e-3;
