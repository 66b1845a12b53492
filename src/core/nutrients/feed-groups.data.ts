/**
 * Kinds of feed that differ in what a laboratory or a label can report of them. The range of plausible values is
 * given for each (`nutrients.data.ts`).
 */
export const FEED_GROUPS = {
  hay: { name: 'hay', includes: 'hay and straw' },
  silage: { name: 'silage', includes: 'silage and other wet forage' },
  grain: { name: 'grain', includes: 'grain and by-product feeds' },
  protein: { name: 'a protein supplement', includes: 'oilseed meals, cubes, tubs and other protein supplements' },
  mineral: { name: 'a mineral', includes: 'minerals and salt' },
} as const;

export type FeedGroup = keyof typeof FEED_GROUPS;
export const FEED_GROUP_CODES = Object.keys(FEED_GROUPS) as FeedGroup[];
