import type { AnimalClass } from '../requirements/requirement-set.js';

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
