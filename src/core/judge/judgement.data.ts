/** How supply is judged against need. The widths are ours; the limits carry their source. */
export const JUDGEMENT = {
  /** Up to this share of the need a supply is `near`, below it `short`. */
  nearFromShareOfNeed: { value: 0.95, source: 'common practice, no source' },
  /**
   * A lot of no more than this share of the dry matter does not make a supply unknown where its own value is missing:
   * the supply is then reported as "at least". An ounce or a quarter of a pound of mineral a day is 0.3 to 1 %.
   */
  smallPartOfDryMatter: { value: 0.02, source: 'common practice, no source' },
  /**
   * A lot that is no more than this share of the dry matter and does not tell a value thins nothing out: where too much
   * does harm, the rest is judged by itself. What is more counts in the weight, and the limit is held against "at
   * least".
   */
  partThatThinsNothingOut: { value: 0.1, source: 'common practice, no source' },
  /** A score that takes longer than this to gain or lose is no change: condition holds steady. */
  conditionTellsDays: { value: 365, source: 'common practice, no source' },
  /** Dry matter that cattle eat on hay, % of body weight a day, where the weight itself is not to be trusted. */
  eatenPercentOfWeight: { value: 2, source: 'common practice, no source' },
  /** Sodium that grass hay nobody tested for it is taken to hold, % of dry matter: the most of what was published. */
  sodiumOfGrassHayPercent: {
    value: 0.055,
    source:
      'NRC 2000 (National Academies Press 9791), sodium and chlorine: forage grazed by beef cows held 0.012 to ' +
      '0.055 %, after Morris et al. 1980; legumes usually hold enough (University of Missouri Extension)',
  },
  /** Least roughage, % of body weight a day. */
  longStemPercentOfWeight: {
    value: 0.5,
    source:
      'South Dakota State University Extension 2018, limit feeding: at least 0.5 lb of forage per 100 lb of ' +
      'body weight',
  },
} as const;
