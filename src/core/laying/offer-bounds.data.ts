/** Dry matter offered to cattle, % of their full weight: beyond `possible` no cattle can be meant. */
export const OFFER_BOUNDS = {
  /** On a day. */
  aDay: {
    possible: 10,
    usual: 5,
    source:
      'cattle eat 2 to 2.5 % of their weight, young or milking ones up to 3 % (Texas A&M AgriLife Extension; Alabama ' +
      'Extension 2022); a calf eats beside its cow, and up to half of what is laid without a feeder is wasted ' +
      '(core/stock/feeding-waste.data.ts). With room for all of it together; common practice, no source',
  },
  /** For each day more that one feeding is laid for. */
  eachDayMore: { possible: 4, source: '3 % eaten and a fourth of the offer wasted; common practice, no source' },
  /** How many days one feeding is laid for at most. One bale may be laid for few animals and last them longer. */
  daysAtOnce: {
    bunk: 3,
    elsewhere: 7,
    source: 'a bunk filled before a weekend; bales for a week in feeders or on the ground; common practice, no source',
  },
} as const;
