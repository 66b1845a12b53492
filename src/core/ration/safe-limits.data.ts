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
} as const;
