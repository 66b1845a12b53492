/** Feeds beside hay that stand in the same ledger (common practice, no source): what they are called, and nothing about what is in them. */
export const OTHER_FEEDS = {
  'mineral': { name: 'Mineral' },
  'salt': { name: 'Salt' },
  'protein-cubes': { name: 'Protein cubes' },
  'protein-tub': { name: 'Protein tub' },
  'grain': { name: 'Grain' },
  'silage': { name: 'Silage' },
  'by-product': { name: 'By-product feed' },
  'other-feed': { name: 'Other feed' },
} as const satisfies Record<string, { name: string }>;

export type OtherFeedCode = keyof typeof OTHER_FEEDS;
export const OTHER_FEED_CODES = Object.keys(OTHER_FEEDS) as OtherFeedCode[];

export function isOtherFeed(kind: string): kind is OtherFeedCode {
  return Object.hasOwn(OTHER_FEEDS, kind);
}
