import { HAY_KINDS, type HayKind, type HayKindCode } from './hay-kinds.data.js';

import type { FeedGroup } from '../nutrients/feed-groups.data.js';

/** A feed beside hay. */
export interface OtherFeed {
  readonly name: string;
  /** By whose limits a test or a label of it is checked. */
  readonly group: FeedGroup;
  /**
   * What stands in until the lot is tested; common practice, no source (air-dry feeds about 90 %, silage about 35 %).
   */
  readonly dryMatterPercent: number;
  readonly isForage: boolean;
  readonly isStarchyGrain: boolean;
}

/**
 * Feeds beside hay that stand in the same ledger. What is in them is told by a test or not at all: there is no book
 * value here.
 */
export const OTHER_FEEDS = {
  mineral: { group: 'mineral', name: 'Mineral', dryMatterPercent: 90, isForage: false, isStarchyGrain: false },
  salt: { group: 'mineral', name: 'Salt', dryMatterPercent: 90, isForage: false, isStarchyGrain: false },
  'protein-cubes': {
    group: 'protein',
    name: 'Protein cubes',
    dryMatterPercent: 90,
    isForage: false,
    isStarchyGrain: false,
  },
  'protein-tub': {
    group: 'protein',
    name: 'Protein tub',
    dryMatterPercent: 90,
    isForage: false,
    isStarchyGrain: false,
  },
  grain: { group: 'grain', name: 'Grain', dryMatterPercent: 90, isForage: false, isStarchyGrain: true },
  silage: { group: 'silage', name: 'Silage', dryMatterPercent: 35, isForage: true, isStarchyGrain: false },
  'by-product': {
    group: 'grain',
    name: 'By-product feed',
    dryMatterPercent: 90,
    isForage: false,
    isStarchyGrain: false,
  },
  'other-feed': { group: 'protein', name: 'Other feed', dryMatterPercent: 90, isForage: false, isStarchyGrain: false },
} as const satisfies Record<string, OtherFeed>;

export type OtherFeedCode = keyof typeof OTHER_FEEDS;
export const OTHER_FEED_CODES = Object.keys(OTHER_FEEDS) as OtherFeedCode[];

export function isOtherFeed(kind: string): kind is OtherFeedCode {
  return Object.hasOwn(OTHER_FEEDS, kind);
}

/**
 * What the name of a kind says, for hay and for other feeds: other feeds are no hay, and nothing of hay is true of
 * them.
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
