/**
 * How far the equation for cows (NRC 2000, eq. 7-3 and 7-4; NASEM 2016 still recommends it) reads below what cows ate
 * in pens where hay was weighed, protein was adequate and feed was always available: regression of predicted on eaten
 * without an intercept. So eaten = predicted ÷ (1 − this).
 */
export const COW_INTAKE_READS_LOW = {
  dry: { percent: 13.9, of: 'dry cows' },
  lactating: { percent: 16.6, of: 'cows in milk' },
  source:
    'Gross, M.A., thesis, Oklahoma State University (intake of gestating and lactating beef cows, 48 and 29 ' +
    'treatment means since 2002); Gross et al. 2024, Transl. Anim. Sci. 8:txae001',
} as const;
