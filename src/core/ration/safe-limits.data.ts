/** Limits of a mixture that no caution of the catalogue covers. */
export const SAFE_LIMITS = {
  /** More fat than this hinders the digestion of fiber. */
  fatPercent: {
    value: 6,
    unit: '% of dry matter',
    source:
      'Hess, Moss & Rule 2008, J. Anim. Sci. 86:E188, and extension teaching on fat in forage diets (from memory)',
  },
} as const;
