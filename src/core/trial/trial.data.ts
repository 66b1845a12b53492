/**
 * Knowledge that feeding trials rest on. Each row names its source; `read in page` means a stored copy of the source
 * was read.
 */

interface SourcedNumber {
  readonly value: number;
  readonly unit: string;
  readonly note: string;
  readonly source: string;
}

interface DailyGainSpread {
  readonly code: string;
  readonly animals: string;
  readonly feed: string;
  readonly days: number;
  readonly meanKgPerDay: number;
  readonly sdKgPerDay: number;
  readonly source: string;
}

/** Standard deviation of daily gain between animals fed alike, for planning when the operation has none of its own. */
export const DAILY_GAIN_SPREADS: readonly DailyGainSpread[] = [
  {
    code: 'yearling-heifers-on-hay',
    animals: '54 yearling Angus and Angus-cross heifers',
    feed: 'bermudagrass hay offered free choice, with salt and mineral',
    days: 70,
    meanKgPerDay: 0.15,
    sdKgPerDay: 0.16,
    source:
      'Oklahoma State University, Range Cow Research Center. 2023. Journal of Animal Science, abstract doi ' +
      '10.1093/jas/skad068.097 (mean ± SD of daily gain on hay; gain by regression of weights taken every 14 ' +
      'days); read in page',
  },
] as const;

export const DEFAULT_DAILY_GAIN_SPREAD: DailyGainSpread = DAILY_GAIN_SPREADS[0] ?? {
  code: '',
  animals: '',
  feed: '',
  days: 0,
  meanKgPerDay: 0,
  sdKgPerDay: 0,
  source: '',
};

export const GUT_FILL = {
  smallestShareOfLiveWeight: {
    value: 0.12,
    unit: 'share of live weight',
    note: 'gut fill and bladder of grown cattle, low end',
    source: 'Littler, B. 2014. Liveweight loss and shrink. Local Land Services, New South Wales; read in page',
  },
  largestShareOfLiveWeight: {
    value: 0.22,
    unit: 'share of live weight',
    note: 'gut fill and bladder of grown cattle, high end',
    source: 'Littler, B. 2014. Liveweight loss and shrink. Local Land Services, New South Wales; read in page',
  },
  twelveHourShrink: {
    value: 0.07,
    unit: 'share of live weight',
    note: 'loss after 12 hours off feed and water',
    source: 'Littler, B. 2014. Liveweight loss and shrink. Local Land Services, New South Wales; read in page',
  },
  secondDayHeavierKg: {
    value: 34,
    unit: 'kg',
    note: 'largest rise of one animal between full weights on two days in a row, 10 experiments',
    source:
      'University of Nebraska-Lincoln. 2013. Journal of Animal Science 91:5507-5517, doi 10.2527/jas2013-6349; ' +
      'read in page',
  },
  secondDayLighterKg: {
    value: 14,
    unit: 'kg',
    note: 'largest fall of one animal between full weights on two days in a row, 10 experiments',
    source:
      'University of Nebraska-Lincoln. 2013. Journal of Animal Science 91:5507-5517, doi 10.2527/jas2013-6349; ' +
      'read in page',
  },
} as const satisfies Record<string, SourcedNumber>;

/** Of one weight of one animal on one day, where an operation has no weighings on two days in a row. */
export const DEFAULT_WEIGHING_SPREAD = {
  value: 5.7,
  unit: 'kg',
  note:
    'differences between full weights of two days ran from -14 to +34 kg in 10 experiments: that range as six ' +
    'standard deviations of a difference (common practice, no source), over the square root of two',
  source: GUT_FILL.secondDayHeavierKg.source,
} as const satisfies SourcedNumber;

/** Share of cattle that are lost before their end weight, where the plan names none. */
export const DEFAULT_LOSSES = {
  value: 0.0183,
  unit: 'share of cattle',
  note: 'mean death loss of 43,629 lots over 167 days on feed; cattle wintered on hay may lose fewer or more',
  source:
    'Abstract of a study of lots of cattle closed from 2014 to 2016 in feedyards of Colorado, Iowa, Kansas, ' +
    'Nebraska, Oklahoma and Texas (mean death loss 1.83 %); read in page',
} as const satisfies SourcedNumber;

export const TRIAL_LENGTH = {
  enoughDays: {
    value: 70,
    unit: 'days',
    note: 'growth is measured without loss of accuracy',
    source:
      'Archer et al. 1997. Optimum postweaning test for measurement of growth rate, feed intake, and feed ' +
      'efficiency in British breed cattle. Journal of Animal Science; read in page',
  },
  shortDays: {
    value: 29,
    unit: 'days',
    note: 'daily gains by full and shrunk weights still disagreed at 29 days and agreed at 67',
    source: 'Aiken, G.E. and Tabler, S.F. 2004. Professional Animal Scientist 20:524-527; read in page',
  },
  /** Months have 30 or 31 days: a month of feeding is still a short trial. */
  monthDays: {
    value: 31,
    unit: 'days',
    note: 'a trial of a month or less is called short',
    source: 'choice of this program, after Aiken and Tabler 2004',
  },
} as const satisfies Record<string, SourcedNumber>;

export const TRIAL_CHOICES = {
  confidence: {
    value: 0.95,
    unit: 'share',
    note: 'of the intervals, over all comparisons and looks',
    source: 'common practice, no source',
  },
  power: {
    value: 0.8,
    unit: 'share',
    note: 'that a plan aims for',
    source: 'Cohen 1988, Statistical Power Analysis for the Behavioral Sciences, 2nd ed. (from memory)',
  },
  lastWeighingShareOfTrial: {
    value: 0.5,
    unit: 'share of the days judged',
    note: 'a gain to the last weighing counts from here on',
    source: 'choice of this program',
  },
  carryOverP: {
    value: 0.1,
    unit: 'p-value',
    note: 'what the feeding before still does is called out below this; the answer stays that of the plan',
    source: 'Grizzle 1965, Biometrics 21:467-480 (tests what carries over at 10 %; from memory)',
  },
  fewHead: {
    value: 10,
    unit: 'head per arm',
    note: 'with so few a month shows only large differences',
    source: 'common practice, no source',
  },
  fewPens: {
    value: 4,
    unit: 'pens per arm',
    note: 'below this the interval of a pen trial is very wide',
    source: 'choice of this program: with 3 pens per arm the t quantile at 95 % is 2.78 (Student), with 2 it is 4.30',
  },
  checkP: {
    value: 0.05,
    unit: 'p-value',
    note: 'a residual check below this raises a caution',
    source: 'common practice, no source',
  },
  cooksDistance: {
    value: 1,
    unit: 'Cook’s distance',
    note: 'an animal above this decides much of the answer',
    source: 'Cook, R.D. and Weisberg, S. 1982. Residuals and Influence in Regression (from memory)',
  },
  influentialShift: {
    value: 1,
    unit: 'standard errors',
    note: 'an animal that moves the answer by more decides much of it',
    source: 'Belsley, Kuh and Welsch 1980, Regression Diagnostics, chapter 2 (cutoff of 1 for small sets; from memory)',
  },
  unevenFillHours: {
    value: 2,
    unit: 'hours off feed',
    note: 'start and end weighings further apart than this are not alike in fill',
    source: 'choice of this program; Littler 2014 gives 2.5 % of live weight lost in 2 hours',
  },
  lookWeighingDays: {
    value: 1,
    unit: 'days',
    note: 'a planned look needs a weighing this near to it',
    source: 'choice of this program',
  },
  ownSpreadDays: {
    value: 28,
    unit: 'days',
    note: 'gains over fewer days are mostly fill and do not count as own spread',
    source: 'choice of this program; Aiken and Tabler 2004 found daily gains of 29 days still ruled by the fill',
  },
  ownSpreadDegreesOfFreedom: {
    value: 9,
    unit: 'degrees of freedom',
    note: 'with fewer the own spread is too uncertain to plan by',
    source: 'choice of this program: ten animals of one group',
  },
  balanceShareOfSd: {
    value: 0.25,
    unit: 'standard deviations',
    note: 'arms whose start weights differ by more are called unbalanced',
    source: 'common practice, no source',
  },
} as const satisfies Record<string, SourcedNumber>;

/** Standard deviation between the mean daily gains of pens fed alike, where an operation has none of its own. */
export const BETWEEN_PENS = {
  value: 0.066,
  unit: 'kg a day',
  note: 'between means of pens of 8 steers over 84 days: the standard error of 0.021 kg a day of 10 pens, times √10',
  source:
    'PubMed Central PMC7322570, table 6, backgrounding phase: pooled standard error of daily gain of 10 pens of 8 ' +
    'steers in one yard; read in page',
} as const satisfies SourcedNumber;

export const UNIT_SOURCES = {
  penIsTheUnit:
    'Interpretation and design of nonregulatory on-farm feeding trials. 1999. Journal of Animal Science 77 ' +
    '(Suppl. 2):177-182: in pen feeding the experimental unit is the pen, although animals are weighed; read in ' +
    'page',
  twoPensAtLeast:
    'Invited review: Assessing experimental designs for research conducted on commercial dairies. 2009. Journal ' +
    'of Dairy Science 92:1-15: at least two pens for each treatment; read in page',
} as const;
