/** What bales and lots can weigh, kg: outside of these a unit or a count is wrong, whatever the hay. */
export const BALE_WEIGHT_POSSIBLE = {
  'small-square': {
    kg: [8, 90],
    source: 'two-string bales of 40 to 80 lb, three-string to 140 lb (from memory), with room; common practice',
  },
  round: {
    kg: [80, 1500],
    source: '4x4 ft bales from about 400 lb to wet 6x6 ft bales of 3,000 lb (from memory), with room; common practice',
  },
  'large-square': {
    kg: [120, 1600],
    source: '3x3 ft bales from about 500 lb to wet 4x4 ft bales of 3,000 lb (from memory), with room; common practice',
  },
} as const satisfies Readonly<Record<string, { readonly kg: readonly [number, number]; readonly source: string }>>;

/** The most that one entry can bring into a lot, or a count find in it. */
export const LOT_MASS_POSSIBLE = {
  kg: 45_000_000,
  source: '50,000 short tons, a winter of hay for some 25,000 cows; common practice, no source',
} as const;
