/** A figure that may be disputed, and where it comes from. */
interface Sourced {
  readonly value: number;
  readonly source: string;
}

/** Days a cow carries her calf. */
export const GESTATION = {
  meanDays: {
    value: 283,
    source:
      'Beef Improvement Federation guidelines, Gestation Length: about 283 days; breed means 279 to 292 days ' +
      '(University of Nevada extension)',
  },
  standardDeviationDays: {
    value: 5.52,
    source: 'Beef Improvement Federation guidelines, Gestation Length: Simmental 284.3 ± 5.52 days',
  },
  /** Nothing outside this is counted; common practice, no source: three standard deviations. */
  spreadDays: { value: 16, source: 'common practice, no source' },
} as const satisfies Record<string, Sourced>;

/**
 * Share of the cows that settle within so many days of turning out bulls, as the calving that follows shows it: 60 %
 * within 21 days and 87 % within 42. North Dakota State University, CHAPS benchmark of 2018. The later two are from
 * memory of the same benchmark: 96 % within 63 days, the rest within a fourth heat. Even within a period.
 */
export const SETTLED_WITHIN: readonly { readonly days: number; readonly share: number }[] = [
  { days: 21, share: 0.6 },
  { days: 42, share: 0.87 },
  { days: 63, share: 0.96 },
  { days: 84, share: 1 },
];

/** A cow does not settle earlier after calving. First-calf heifers take longer: 80 to 100 days (from memory). */
export const REST_AFTER_CALVING: Sourced = {
  value: 40,
  source:
    'University of Nebraska-Lincoln Extension, post-partum interval and pregnancy rates: under ideal conditions ' +
    'cows cannot settle for 40 to 60 days after calving',
};

/** Longer than this there is no breeding season, and conceptions are spread evenly; common practice, no source. */
export const SEASON_DAYS_MAX = 120;

/**
 * Share that settles to an insemination where bulls follow. University of Missouri extension: fixed-time insemination
 * runs in the low 60s; Oklahoma State and others give 50 to 60 %.
 */
export const SETTLED_TO_INSEMINATION: Sourced = {
  value: 0.6,
  source: 'University of Missouri extension: conception to fixed-time insemination in the low 60 % range',
};

/** Breedings that begin within so many days of each other are one season; common practice, no source. */
export const ONE_SEASON_DAYS = 120;

/** A calving belongs to the breeding that predicted it within so many days; common practice, no source. */
export const CALVING_MATCH_DAYS = 90;

/** A calf that comes earlier after conception does not live; its dam has lost it and is open. */
export const VIABLE_GESTATION: Sourced = {
  value: 260,
  source:
    'veterinary usage (from memory): a calf lost from day 42 to day 260 is an abortion, after it a premature calf',
};

/** The first calf of a herd is not later than so many days after the last was expected; common practice, no source. */
export const FIRST_CALF_LATE_DAYS_MAX = 30;

/** Bulls may be in so many days before the first calf of the season before; common practice, no source. */
export const BULLS_BEFORE_CALVING_DAYS_MAX = 90;

/** Calves are weaned within so many days of their birth; common practice, no source. */
export const WEANED_WITHIN_DAYS = 335;

/** Age at weaning where none is recorded. */
export const WEANING_AGE: Sourced = {
  value: 205,
  source: 'Beef Improvement Federation: weaning weights are adjusted to 205 days',
};

/** How far off a mean weight may be, ±; common practice, no source. */
export const WEIGHT_SURENESS = {
  /** A herd over the scale: gut fill, and who was weighed. Share of the weight. */
  weighedShare: 0.02,
  /** A weight by eye, or from the day on which the herd was entered. */
  statedShare: 0.05,
  /** A day since then, of the gain that was wanted or measured (0.25 lb), kg. */
  knownGainKgPerDay: 0.11,
  /** A day since then where no gain is known: growing cattle (1 lb), kg. */
  unknownGainKgPerDay: 0.45,
  /** A day since then: mature cattle, kg. */
  grownKgPerDay: 0.1,
} as const;

/** Weighings closer together than this say more about gut fill than about gain; common practice, no source. */
export const GAIN_SPAN_DAYS_MIN = 21;

/** Gains between two weighings beyond this are not real gains, kg a day; common practice, no source. */
export const GAIN_KG_PER_DAY_MAX = 2.5;
