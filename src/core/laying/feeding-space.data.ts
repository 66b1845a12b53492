import type { CautionSourceKey } from '../cautions/caution-sources.data.js';

export const SPACE_CLASSES = ['calf', 'bred-heifer', 'cow-1000-lb', 'cow-1300-lb', 'bull'] as const;
export type SpaceClass = (typeof SPACE_CLASSES)[number];

/** `once-daily`: all eat at the same time. `always-available`: hay is there all day. */
export const FEED_ACCESSES = ['once-daily', 'always-available'] as const;
export type FeedAccess = (typeof FEED_ACCESSES)[number];

interface FeedingSpaceRow {
  readonly spaceClass: SpaceClass;
  readonly access: FeedAccess;
  readonly inchesPerHead: readonly [number, number];
  readonly source: CautionSourceKey;
}

/**
 * Feeding length per head, inches, lower and upper end of the published range. For a class and access without a row
 * no figure was found.
 */
export const FEEDING_SPACE: readonly FeedingSpaceRow[] = [
  { spaceClass: 'bred-heifer', access: 'once-daily', inchesPerHead: [22, 26], source: 'fassFeederSpace' },
  { spaceClass: 'cow-1000-lb', access: 'once-daily', inchesPerHead: [24, 30], source: 'fassFeederSpace' },
  { spaceClass: 'cow-1300-lb', access: 'once-daily', inchesPerHead: [26, 30], source: 'fassFeederSpace' },
  { spaceClass: 'bull', access: 'once-daily', inchesPerHead: [30, 36], source: 'fassFeederSpace' },
  { spaceClass: 'calf', access: 'once-daily', inchesPerHead: [22, 26], source: 'missouriBunkSpace' },
  { spaceClass: 'calf', access: 'always-available', inchesPerHead: [12, 18], source: 'missouriBunkSpace' },
];
