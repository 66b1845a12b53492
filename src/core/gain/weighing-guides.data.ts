/** What published studies say a weighing can support; used to warn, never to change a number. */
export const WEIGHING_GUIDES = {
  /** A daily gain of full-fed cattle on forage above this was judged to be gut fill. */
  gutFillDailyGainKg: {
    value: 1.62,
    source:
      'Watson, A.K. et al. 2013. Journal of Animal Science 91:5507-5517 (University of Nebraska), doi ' +
      '10.2527/jas2013-6349',
  },
  /** Full-fed against limit-fed weighing moved daily gain by as much as this. */
  methodGapDailyGainKg: {
    low: -0.29,
    high: 0.31,
    source: 'Watson, A.K. et al. 2013. Journal of Animal Science 91:5507-5517',
  },
  /** Two limit-fed weights of one animal on following days differed by as much as this. */
  betweenDaysKg: { low: -23, high: 24, source: 'Watson, A.K. et al. 2013. Journal of Animal Science 91:5507-5517' },
  /** At `unstableDays` daily gain depended on the hours of fasting; by `stableDays` it no longer did. */
  shortPeriod: {
    unstableDays: 29,
    stableDays: 67,
    source: 'Aiken, G.E. and Tabler, S.F. 2004. Professional Animal Scientist 20:524-527 (USDA ARS)',
  },
} as const;
