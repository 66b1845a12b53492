import type { BreedType } from './requirement-set.js';

export const HEIFER_EVENTS = [
  'first-breeding',
  'first-calving',
  'second-calving',
  'third-calving',
  'fourth-calving',
] as const;
export type HeiferEvent = (typeof HEIFER_EVENTS)[number];

/**
 * What a heifer should weigh at an event, as a share of her mature weight: her own weight, calf and fluids apart. The
 * system of NRC 2000 is followed; what others teach is listed beside it.
 */
export const HEIFER_TARGETS: readonly {
  readonly event: HeiferEvent;
  /** Absent: all breed types. */
  readonly breedTypes?: readonly BreedType[];
  readonly share: number;
  readonly source: string;
  readonly others: string;
}[] = [
  {
    event: 'first-breeding',
    breedTypes: ['bos-taurus-beef'],
    share: 0.6,
    source: 'NRC 2000: Bos taurus (from memory)',
    others: 'South Dakota State 55 to 65 %; Texas A&M 65 %; Ohio State 62 %; Nebraska 50 to 57 % where feed is dear',
  },
  {
    event: 'first-breeding',
    breedTypes: ['bos-indicus', 'bos-indicus-cross'],
    share: 0.65,
    source: 'NRC 2000: Bos indicus (from memory)',
    others: '',
  },
  {
    event: 'first-breeding',
    breedTypes: ['dual-purpose', 'dairy', 'dairy-beef-cross'],
    share: 0.55,
    source: 'NRC 2000: dual-purpose and dairy (from memory)',
    others: '',
  },
  {
    event: 'first-calving',
    share: 0.8,
    source: 'NRC 2000 (from memory); Ohio State University Extension, target weight concept',
    others: 'Texas A&M 85 % before calving, University of Arkansas MP391 85 %, without separating calf and fluids',
  },
  {
    event: 'second-calving',
    share: 0.92,
    source: 'NRC 2000 (from memory); Ohio State University Extension, target weight concept',
    others: '',
  },
  { event: 'third-calving', share: 0.96, source: 'NRC 2000 (from memory)', others: '' },
  {
    event: 'fourth-calving',
    share: 1,
    source: 'NRC 2000: mature from the fourth calving on (from memory)',
    others: '',
  },
];

/** From conception to calving, and from one calving to the next. Source: NRC 2000; 283 days for beef cattle. */
export const GESTATION_DAYS = 283;
export const CALVING_INTERVAL_DAYS = 365;

/** How fast a heifer that is behind may be asked to catch up. */
export const CATCHING_UP = {
  mostKgPerDay: {
    value: 0.907,
    source: 'Ohio State University Extension, target weight concept: heifers gain 1.0 to 2.0 lb a day',
  },
  /** What is lacking shortly before the event is spread over at least this many days. */
  overAtLeastDays: { value: 30, source: 'common practice, no source' },
} as const;
