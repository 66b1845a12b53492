/**
 * Hay quality designations of market reporting, % of DM. Source: USDA Agricultural Marketing Service hay quality
 * guidelines (in force since 2003), read at Montana State University Extension (Cash & Dixon) and Missouri market
 * news. A value on an edge gets the better grade, except at the strict top grade. Other guides use other bands: the
 * Illinois Department of Agriculture starts Supreme at 180, Premium at 150, Good at 125, Fair at 100.
 */
export const ALFALFA_GRADES = ['Supreme', 'Premium', 'Good', 'Fair', 'Utility'] as const;
export type AlfalfaGrade = (typeof ALFALFA_GRADES)[number];
export const GRASS_GRADES = ['Premium', 'Good', 'Fair', 'Low'] as const;
export type GrassGrade = (typeof GRASS_GRADES)[number];

export const GRADE_SOURCE =
  'USDA Agricultural Marketing Service, hay quality designations (Montana State University Extension)';

export interface AlfalfaGradeRow {
  readonly grade: AlfalfaGrade;
  readonly acidDetergentFiberAtMost: number;
  readonly neutralDetergentFiberAtMost: number;
  readonly relativeFeedValueAtLeast: number;
  readonly totalDigestibleNutrientsAtLeast: number;
  readonly crudeProteinAtLeast: number;
  /** The top grade starts beyond its edge: ADF under 27, RFV over 185. */
  readonly strict: boolean;
  readonly source: string;
}

export const ALFALFA_GRADE_ROWS: readonly AlfalfaGradeRow[] = [
  {
    grade: 'Supreme',
    acidDetergentFiberAtMost: 27,
    neutralDetergentFiberAtMost: 34,
    relativeFeedValueAtLeast: 185,
    totalDigestibleNutrientsAtLeast: 62,
    crudeProteinAtLeast: 22,
    strict: true,
    source: GRADE_SOURCE,
  },
  {
    grade: 'Premium',
    acidDetergentFiberAtMost: 29,
    neutralDetergentFiberAtMost: 36,
    relativeFeedValueAtLeast: 170,
    totalDigestibleNutrientsAtLeast: 60.5,
    crudeProteinAtLeast: 20,
    strict: false,
    source: GRADE_SOURCE,
  },
  {
    grade: 'Good',
    acidDetergentFiberAtMost: 32,
    neutralDetergentFiberAtMost: 40,
    relativeFeedValueAtLeast: 150,
    totalDigestibleNutrientsAtLeast: 58,
    crudeProteinAtLeast: 18,
    strict: false,
    source: GRADE_SOURCE,
  },
  {
    grade: 'Fair',
    acidDetergentFiberAtMost: 35,
    neutralDetergentFiberAtMost: 44,
    relativeFeedValueAtLeast: 130,
    totalDigestibleNutrientsAtLeast: 56,
    crudeProteinAtLeast: 16,
    strict: false,
    source: GRADE_SOURCE,
  },
  {
    grade: 'Utility',
    acidDetergentFiberAtMost: Infinity,
    neutralDetergentFiberAtMost: Infinity,
    relativeFeedValueAtLeast: -Infinity,
    totalDigestibleNutrientsAtLeast: -Infinity,
    crudeProteinAtLeast: -Infinity,
    strict: false,
    source: GRADE_SOURCE,
  },
];

export const GRASS_GRADE_ROWS: readonly {
  readonly grade: GrassGrade;
  readonly crudeProteinAtLeast: number;
  readonly strict: boolean;
  readonly source: string;
}[] = [
  { grade: 'Premium', crudeProteinAtLeast: 13, strict: true, source: GRADE_SOURCE },
  { grade: 'Good', crudeProteinAtLeast: 9, strict: false, source: GRADE_SOURCE },
  { grade: 'Fair', crudeProteinAtLeast: 5, strict: false, source: GRADE_SOURCE },
  { grade: 'Low', crudeProteinAtLeast: -Infinity, strict: false, source: GRADE_SOURCE },
];
