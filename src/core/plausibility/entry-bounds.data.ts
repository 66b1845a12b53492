import type { AnimalClass } from '../requirements/requirement-set.js';
import type { FeedGroup } from '../nutrients/feed-groups.data.js';
import type { Currency } from '../units/money.js';

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
  /** Of grain and by-products laid on a day and not kept in front of the cattle: nobody lays them for several days. */
  grainADay: {
    possible: 5,
    usual: 3,
    source:
      'cattle on feed eat 2 to 2.5 % of their weight in all, calves up to 3 % (extension, from memory); beyond 5 % a ' +
      'unit, a count or a point is wrong, with room; common practice, no source',
  },
} as const;

interface BaleWeights {
  readonly kg: readonly [number, number];
  readonly usual: readonly [number, number];
  readonly source: string;
}

/** What bales weigh, kg: outside of `kg` a unit or a count is wrong, whatever the hay; outside of `usual` unlikely. */
export const BALE_WEIGHT_POSSIBLE = {
  'small-square': {
    kg: [8, 90],
    usual: [15, 65],
    source: 'two-string bales of 40 to 80 lb, three-string to 140 lb (from memory), with room; common practice',
  },
  round: {
    kg: [80, 1500],
    usual: [180, 1000],
    source: '4x4 ft bales from about 400 lb to wet 6x6 ft bales of 3,000 lb (from memory), with room; common practice',
  },
  'large-square': {
    kg: [120, 1600],
    usual: [270, 1050],
    source: '3x3 ft bales from about 500 lb to wet 4x4 ft bales of 3,000 lb (from memory), with room; common practice',
  },
} as const satisfies Readonly<Record<string, BaleWeights>>;

/** The most that one entry can bring into a lot, or a count find in it. */
export const LOT_MASS_POSSIBLE = {
  kg: 45_000_000,
  usual: 1_815_000,
  source:
    '50,000 short tons, a winter of hay for some 25,000 cows; unlikely above 2,000 short tons, some 80 truckloads of ' +
    '25 tons; common practice, no source',
} as const;

/** Full weights of cattle of a class, kg: outside of `possible` none of theirs, outside of `usual` unlikely. */
interface WeightBounds {
  readonly possible: readonly [number, number];
  readonly usual: readonly [number, number];
  readonly source: string;
}

const COWS: WeightBounds = {
  possible: [225, 1100],
  usual: [400, 770],
  source:
    'smallest breed, Dexter: cows of 600 to 700 lb (270 to 320 kg), a fifth below it; largest, Chianina and other ' +
    'Continental breeds: adults to 2,500 lb (1,134 kg) (breed descriptions of zoos and breed societies). Usual: ' +
    'USDA Germplasm Evaluation, mean cows of the nine breeds 1,350 to 1,450 lb; from it by a quarter either way, ' +
    'common practice, no source',
};

/** Bounds of a mean and of one animal alike. Young cattle: common practice, no source. */
export const WEIGHT_BOUNDS: Readonly<Record<AnimalClass, WeightBounds>> = {
  'dry-open-cow': COWS,
  'dry-pregnant-cow': COWS,
  'lactating-cow': COWS,
  'first-calf-heifer': { ...COWS, possible: [180, 900], usual: [330, 620] },
  'replacement-heifer': {
    possible: [80, 800],
    usual: [150, 590],
    source: 'weaned small breeds to bred large ones; common practice, no source',
  },
  'growing-calf': {
    possible: [20, 600],
    usual: [80, 420],
    source: 'newborn to long yearling; common practice, no source',
  },
  yearling: { possible: [90, 850], usual: [180, 520], source: 'common practice, no source' },
  finishing: { possible: [130, 1100], usual: [250, 800], source: 'common practice, no source' },
  bull: {
    possible: [150, 1700],
    usual: [350, 1250],
    source:
      'young bulls up; Chianina bulls to 3,300 lb (1,500 kg) and single ones above it (breed descriptions); usual: ' +
      'common practice, no source',
  },
};

/** What a mean may change between two weights, beside what the days bring. */
export const WEIGHT_CHANGE = {
  /** Gut fill between a full and an empty scale day, share of weight, either way. */
  fillShare: {
    value: 0.1,
    source: 'extension: gut fill and shrink of 3 to 10 % of live weight (from memory)',
  },
  /** A weight by eye or tape may be off by this as well. */
  statedShare: { value: 0.2, source: 'common practice, no source' },
  /** Standard deviation of single animals of one herd, share of their mean. */
  animalsDiffer: { value: 0.1, source: 'common practice, no source' },
  /** Calf, fluids and membranes that a cow leaves behind, kg. */
  calvingKg: { value: 75, source: 'NRC 2000: conceptus of a 38.5-kg calf at term about 66 kg; rounded up' },
  /** More than this no mean gains or loses, kg a day. */
  mostKgPerDay: {
    value: 2.5,
    source: 'feedlot close-outs: the best pens of steers gain 4.5 to 5.5 lb a day (from memory); common practice',
  },
  /** More than this is unlikely, kg a day. */
  usualKgPerDay: { value: 1.6, source: 'feedlot steers gain about 3.5 lb a day on average (from memory)' },
  /** Unlikely beyond this share of weight besides. */
  usualShare: { value: 0.05, source: 'common practice, no source' },
} as const;

/** Money for so much, in US dollars; outside of `possible` no figure is taken, outside of `usual` it is unlikely. */
export interface MoneyBounds {
  readonly usual: readonly [number, number];
  readonly possible: readonly [number, number];
  readonly source: string;
}

/** A short ton of feed as bought, sold, offered or raised. Nothing at all is a gift and not unlikely. */
export const PRICE_OF_TON: Readonly<Record<FeedGroup, MoneyBounds>> = {
  hay: {
    usual: [20, 500],
    possible: [0, 2500],
    source:
      'USDA NASS Agricultural Prices: U.S. means of all hay about 120 to 270 dollars a short ton, of alfalfa up to ' +
      '330, 2012 to 2024 (from memory); local droughts and old hay, with room: common practice, no source',
  },
  silage: {
    usual: [10, 200],
    possible: [0, 1500],
    source: 'corn silage in the pit 40 to 90 dollars a short ton (extension, from memory); with room',
  },
  grain: {
    usual: [50, 800],
    possible: [0, 5000],
    source: 'corn at 3 to 8 dollars a bushel, 107 to 286 a short ton (from memory); with room, common practice',
  },
  protein: {
    usual: [80, 2500],
    possible: [0, 15_000],
    source: 'cubes and meals 250 to 700, tubs up to 2,000 dollars a short ton (from memory); common practice',
  },
  mineral: {
    usual: [40, 5000],
    possible: [0, 40_000],
    source: 'limestone and salt from 60, mixes up to 3,000 dollars a short ton (from memory); common practice',
  },
};

/** Freight and other charges for a short ton, each. */
export const CHARGES_OF_TON: MoneyBounds = {
  usual: [0, 200],
  possible: [0, 2500],
  source: 'hay hauled at 4 to 7 dollars a loaded mile in loads of 20 to 25 tons, 500 miles and more; common practice',
};

/** Feeding and care of a head for a day, beside its feed. */
export const YARDAGE_OF_HEAD_DAY: MoneyBounds = {
  usual: [0, 3],
  possible: [0, 50],
  source: 'yards charge 0.35 to 0.60 dollars a head and day (extension, from memory); with room: common practice',
};

/** One bill of a herd beside feed and yardage, or a credit, for each head that it has. */
export const COST_OF_HEAD: MoneyBounds = {
  usual: [0, 400],
  possible: [0, 20_000],
  source:
    'processing and vaccines 5 to 30, hauling 10 to 100, commission 20 to 80, pasture of a season 100 to 300 dollars ' +
    'a head (from memory); possible: treating one valuable bull, with room; common practice, no source',
};

/** A head of cattle, bought, sold or valued. */
export const PRICE_OF_HEAD: MoneyBounds = {
  usual: [50, 12_000],
  possible: [1, 1_000_000],
  source:
    'cull cows 500 to 1,800, feeders 700 to 2,500, bred cows and pairs 1,500 to 5,000, bulls 3,000 to 10,000 dollars ' +
    '(extension and USDA AMS reports, from memory); possible: one record bull, with room; common practice, no source',
};

/** A hundredweight (100 lb) of live weight. */
export const PRICE_OF_CATTLE_CWT: MoneyBounds = {
  usual: [15, 900],
  possible: [1, 20_000],
  source:
    'cull cows 30 to 170, fed steers 80 to 250, calves 100 to 500 dollars a hundredweight, 1996 to 2025 ' +
    '(USDA AMS reports, from memory); with room: common practice, no source',
};

/** How many units of a currency are about one US dollar, for the bounds above alone. */
export const CURRENCY_OF_DOLLAR: Readonly<Record<Currency, number>> = {
  // Long means of exchange rates, to a tenth: from memory. Bounds are wide, so a tenth does not matter.
  USD: 1,
  CAD: 1.3,
  EUR: 0.9,
  GBP: 0.8,
  AUD: 1.4,
  NZD: 1.5,
};

/** Head of cattle. */
export const HEAD_BOUNDS = {
  /** Fed together as one herd. */
  ofHerd: {
    usual: 5000,
    source: 'more than a hundred pens of 50, or all cows of a large ranch; common practice, no source',
  },
  /** Deaths in one entry: more than these, and than this share of the herd. */
  died: {
    usualHead: 3,
    usualShare: 0.05,
    source: 'death loss of cows 1 to 2 % a year, of calves 3 to 6 % until weaning (from memory); common practice',
  },
} as const;

/** Days of entries, before the day on which they are made. */
export const DAY_BOUNDS = {
  usualDaysBehind: 731,
  possibleDaysBehind: 10_958,
  source: 'older than two years is mostly a wrong year, older than thirty always: common practice, no source',
} as const;

/** Of what is laid, refused and wasted together. */
export const LEFT_BOUNDS = {
  usualShare: 0.6,
  source: 'up to 57 % of hay is lost on the ground without a feeder (core/stock/feeding-waste.data.ts), with room',
} as const;
