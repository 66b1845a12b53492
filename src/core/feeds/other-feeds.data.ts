import { HAY_KINDS, type HayKind, type HayKindCode } from './hay-kinds.data.js';

import type { FeedGroup } from '../nutrients/feed-groups.data.js';

/** A feed other than hay. */
export interface OtherFeed {
  readonly name: string;
  /** The group whose limits its tests and labels are checked against. */
  readonly group: FeedGroup;
  /**
   * What stands in until the lot is tested; common practice, no source (air-dry feeds about 90 %, silage about 35 %).
   */
  readonly dryMatterPercent: number;
  readonly isForage: boolean;
  readonly isStarchyGrain: boolean;
  /** The row of `feed-values.data.ts` that stands in until the lot is tested; absent where the name tells nothing. */
  readonly bookValueKey?: string;
}

const feed = (name: string, group: FeedGroup, dryMatterPercent: number, more: Partial<OtherFeed> = {}): OtherFeed => ({
  name,
  group,
  dryMatterPercent,
  isForage: group === 'silage',
  isStarchyGrain: false,
  ...more,
});
/** A feed whose book value stands under its own code. */
const inBook = (
  code: string,
  name: string,
  group: FeedGroup,
  dryMatterPercent: number,
  more: Partial<OtherFeed> = {},
) => feed(name, group, dryMatterPercent, { bookValueKey: code, ...more });
const STARCHY = { isStarchyGrain: true };

/**
 * Feeds other than hay, kept in the same ledger. A test or a label says what is in them; book values fill in for
 * those whose name says what they are. A mineral, a cube or a tub may contain anything, so it has no book value.
 */
export const OTHER_FEEDS = {
  mineral: feed('Mineral', 'mineral', 90),
  salt: inBook('salt', 'Salt', 'mineral', 99),
  'dicalcium-phosphate': inBook('dicalcium-phosphate', 'Dicalcium phosphate', 'mineral', 97),
  limestone: inBook('limestone', 'Limestone, ground', 'mineral', 99),
  'magnesium-oxide': inBook('magnesium-oxide', 'Magnesium oxide', 'mineral', 98),
  'protein-cubes': feed('Protein cubes', 'protein', 90),
  'range-cubes-20': inBook('range-cubes-20', 'Range cubes, 20 % protein', 'protein', 90),
  'protein-tub': feed('Protein tub', 'protein', 90),
  'soybean-meal': inBook('soybean-meal', 'Soybean meal', 'protein', 89),
  'cottonseed-meal': inBook('cottonseed-meal', 'Cottonseed meal', 'protein', 90),
  'canola-meal': inBook('canola-meal', 'Canola meal', 'protein', 92),
  grain: feed('Grain', 'grain', 90, STARCHY),
  'corn-grain': inBook('corn-grain', 'Corn', 'grain', 88, STARCHY),
  'barley-grain': inBook('barley-grain', 'Barley', 'grain', 88, STARCHY),
  'oats-grain': inBook('oats-grain', 'Oats', 'grain', 89, STARCHY),
  'wheat-grain': inBook('wheat-grain', 'Wheat', 'grain', 89, STARCHY),
  silage: feed('Silage', 'silage', 35),
  'corn-silage': inBook('corn-silage', 'Corn silage', 'silage', 35),
  'by-product': feed('By-product feed', 'grain', 90),
  'distillers-grains': inBook('distillers-grains', 'Distillers grains, dried', 'grain', 90),
  'corn-gluten-feed': inBook('corn-gluten-feed', 'Corn gluten feed', 'grain', 90),
  'soybean-hulls': inBook('soybean-hulls', 'Soybean hulls', 'grain', 90),
  'wheat-middlings': inBook('wheat-middlings', 'Wheat middlings', 'grain', 90),
  'other-feed': feed('Other feed', 'protein', 90),
} as const satisfies Record<string, OtherFeed>;

export type OtherFeedCode = keyof typeof OTHER_FEEDS;
export const OTHER_FEED_CODES = Object.keys(OTHER_FEEDS) as OtherFeedCode[];

export function isOtherFeed(kind: string): kind is OtherFeedCode {
  return Object.hasOwn(OTHER_FEEDS, kind);
}

/**
 * What the name of a kind says, for hay and for other feeds. Nothing that is true of hay is assumed of another feed.
 */
export function feedKindOf(kind: HayKindCode | OtherFeedCode): HayKind {
  if (!isOtherFeed(kind)) return HAY_KINDS[kind];
  return {
    name: OTHER_FEEDS[kind].name,
    family: 'mixed',
    legumeShare: 0,
    canGatherNitrate: false,
    isSorghum: false,
    texture: 'medium',
    bookValueKey: '',
  };
}

/** The group that a test of this kind of feed is checked by. */
export function feedGroupOf(kind: HayKindCode | OtherFeedCode): FeedGroup {
  return isOtherFeed(kind) ? OTHER_FEEDS[kind].group : 'hay';
}
