/**
 * How far the equation for cows (NRC 2000, eq. 7-3 and 7-4; NASEM 2016 recommends it again) reads below what cows ate
 * in pens, where hay was weighed, protein was enough and feed was always there: regressed without intercept, predicted
 * against eaten. Eaten is therefore predicted ÷ (1 − it).
 */
export const COW_INTAKE_READS_LOW = {
  dry: { percent: 13.9, of: 'dry cows' },
  lactating: { percent: 16.6, of: 'cows in milk' },
  source:
    'Gross, M.A., Oklahoma State University, predicting dry matter intake of gestating and lactating beef cows ' +
    '(48 and 29 treatment means since 2002); Gross et al. 2024, Transl. Anim. Sci. txae001',
} as const;
