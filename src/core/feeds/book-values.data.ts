import type { ForageAnalysis } from '../forage/forage-analysis.js';
import type { ForageFamily } from '../forage/tdn-estimate.js';

/** Typical composition of one hay. Every figure based on it is flagged in answers: the lot should be tested. */
export interface BookValue {
  readonly key: string;
  readonly name: string;
  readonly family: ForageFamily;
  /** Stage of growth at cutting. */
  readonly maturity: string;
  /** On the dry matter basis. */
  readonly analysis: ForageAnalysis;
  /** Fields whose figure was read in the source named first; the others are from memory of the second. */
  readonly confirmedFields: readonly (keyof ForageAnalysis)[];
  readonly source: string;
}

const NRC = 'NRC 2000, feed composition table (from memory)';
const BRITANNICA =
  'Encyclopaedia Britannica, roughages used as animal feeds, as-fed figures put on dry matter; the rest NRC ' +
  '2000, feed composition table (from memory)';
const NORTH_DAKOTA =
  'North Dakota State University Extension, Feeding straw, Table 1; NDF, Mg, K, S and degradable protein NRC ' +
  '2000, feed composition table (from memory)';
const PRACTICE = 'typical of extension feed tables (from memory)';

function row(
  key: string,
  name: string,
  family: ForageFamily,
  maturity: string,
  figures: readonly [
    dm: number,
    cp: number,
    adf: number,
    ndf: number,
    tdn: number,
    ca: number,
    p: number,
    mg: number,
    k: number,
    s: number,
  ],
  degradable: number,
  source: string,
  confirmedFields: BookValue['confirmedFields'] = [],
): BookValue {
  const [dm, cp, adf, ndf, tdn, ca, p, mg, k, s] = figures;
  return {
    key,
    name,
    family,
    maturity,
    source,
    confirmedFields,
    analysis: {
      dryMatterPercent: dm,
      crudeProteinPercent: cp,
      degradableProteinPercentOfCrudeProtein: degradable,
      acidDetergentFiberPercent: adf,
      neutralDetergentFiberPercent: ndf,
      totalDigestibleNutrientsPercent: tdn,
      calciumPercent: ca,
      phosphorusPercent: p,
      magnesiumPercent: mg,
      potassiumPercent: k,
      sulfurPercent: s,
    },
  };
}

const READ_STRAW = [
  'dryMatterPercent',
  'crudeProteinPercent',
  'totalDigestibleNutrientsPercent',
  'acidDetergentFiberPercent',
  'calciumPercent',
  'phosphorusPercent',
] as const;
const READ = ['dryMatterPercent', 'crudeProteinPercent', 'totalDigestibleNutrientsPercent'] as const;

// Columns: DM, CP, ADF, NDF, TDN, Ca, P, Mg, K, S; then degradable share of CP.
export const BOOK_VALUES: readonly BookValue[] = [
  row(
    'alfalfa-pre-bloom',
    'Alfalfa hay',
    'legume',
    'late vegetative to pre-bloom',
    [90, 22, 28, 37, 63, 1.7, 0.28, 0.31, 2.5, 0.3],
    80,
    NRC,
  ),
  row(
    'alfalfa-early-bloom',
    'Alfalfa hay',
    'legume',
    'early bloom',
    [90, 19.9, 31.9, 39.3, 60, 1.63, 0.21, 0.34, 2.56, 0.3],
    80,
    NRC,
  ),
  row(
    'alfalfa-mid-bloom',
    'Alfalfa hay',
    'legume',
    'mid bloom',
    [91, 18.7, 36.7, 47.1, 57.4, 1.37, 0.22, 0.35, 1.56, 0.28],
    80,
    BRITANNICA,
    READ,
  ),
  row(
    'alfalfa-full-bloom',
    'Alfalfa hay',
    'legume',
    'full bloom',
    [90, 17, 38.7, 48.8, 55, 1.19, 0.24, 0.27, 1.56, 0.27],
    78,
    NRC,
  ),
  row(
    'alfalfa-mature',
    'Alfalfa hay',
    'legume',
    'mature, seed pods',
    [91, 13, 45, 58, 50, 1.13, 0.18, 0.27, 1.78, 0.25],
    75,
    NRC,
  ),
  row(
    'ladino-clover',
    'Ladino clover hay',
    'legume',
    'bloom',
    [89, 22.4, 32, 36, 60, 1.45, 0.33, 0.47, 2.44, 0.21],
    78,
    BRITANNICA,
    READ,
  ),
  row('red-clover', 'Red clover hay', 'legume', 'bloom', [88, 15, 36, 46.9, 55, 1.38, 0.24, 0.38, 1.81, 0.16], 73, NRC),
  row(
    'alfalfa-grass-mix',
    'Alfalfa and grass hay, about half each',
    'mixed',
    'mid bloom, grass headed',
    [90, 14, 37, 54, 57, 0.85, 0.25, 0.23, 2.1, 0.22],
    75,
    PRACTICE,
  ),
  row(
    'orchardgrass-early-bloom',
    'Orchardgrass hay',
    'grass',
    'early bloom',
    [89, 12.8, 33.8, 59.6, 65, 0.27, 0.34, 0.11, 2.91, 0.26],
    72,
    NRC,
  ),
  row(
    'orchardgrass-late-bloom',
    'Orchardgrass hay',
    'grass',
    'late bloom',
    [91, 8.4, 37.8, 65, 54, 0.26, 0.3, 0.11, 2.67, 0.2],
    68,
    NRC,
  ),
  row(
    'smooth-brome-mid-bloom',
    'Smooth bromegrass hay',
    'grass',
    'mid bloom',
    [88, 10, 36.8, 57.7, 56, 0.29, 0.28, 0.1, 1.99, 0.2],
    70,
    BRITANNICA,
    READ,
  ),
  row(
    'smooth-brome-mature',
    'Smooth bromegrass hay',
    'grass',
    'mature',
    [93, 6, 44.8, 70.5, 53, 0.26, 0.22, 0.12, 1.85, 0.15],
    60,
    NRC,
  ),
  row(
    'timothy-mid-bloom',
    'Timothy hay',
    'grass',
    'mid bloom',
    [88.9, 9.7, 36.4, 63.7, 59.1, 0.48, 0.23, 0.13, 1.82, 0.13],
    70,
    BRITANNICA,
    READ,
  ),
  row(
    'bermudagrass-late-vegetative',
    'Bermudagrass hay',
    'grass',
    'late vegetative',
    [91, 7.8, 38, 74, 49, 0.26, 0.18, 0.13, 1.3, 0.21],
    68,
    BRITANNICA,
    READ,
  ),
  row(
    'bermudagrass-four-weeks',
    'Bermudagrass hay',
    'grass',
    'four weeks of growth',
    [91, 12, 34, 70, 56, 0.35, 0.24, 0.17, 1.6, 0.25],
    70,
    PRACTICE,
  ),
  row(
    'meadow-hay',
    'Native meadow hay',
    'grass',
    'cut in season',
    [92, 8.2, 41, 65, 53, 0.58, 0.17, 0.17, 1.5, 0.16],
    68,
    PRACTICE,
  ),
  row(
    'prairie-hay',
    'Native prairie hay',
    'grass',
    'late in the season',
    [91, 5.8, 45, 71, 48, 0.35, 0.12, 0.2, 1, 0.1],
    62,
    PRACTICE,
  ),
  row(
    'oat-hay',
    'Oat hay',
    'cereal',
    'dough',
    [91, 9.5, 38.4, 63, 53, 0.32, 0.25, 0.29, 1.49, 0.23],
    68,
    BRITANNICA,
    READ,
  ),
  row('barley-hay', 'Barley hay', 'cereal', 'dough', [90, 8.7, 37, 60, 56, 0.23, 0.26, 0.16, 1.18, 0.17], 68, NRC),
  row(
    'sorghum-sudan-hay',
    'Sorghum-sudangrass hay',
    'grass',
    'headed',
    [91, 11.3, 40, 64.8, 56, 0.51, 0.31, 0.37, 2.08, 0.12],
    65,
    NRC,
  ),
  row(
    'wheat-straw',
    'Wheat straw',
    'straw',
    'ripe',
    [90, 3.6, 52, 78.9, 43, 0.19, 0.09, 0.12, 1.41, 0.19],
    40,
    NORTH_DAKOTA,
    READ_STRAW,
  ),
  row(
    'barley-straw',
    'Barley straw',
    'straw',
    'ripe',
    [90, 4.1, 52, 72.5, 43, 0.37, 0.11, 0.23, 2.37, 0.17],
    40,
    NORTH_DAKOTA,
    READ_STRAW,
  ),
  row(
    'oat-straw',
    'Oat straw',
    'straw',
    'ripe',
    [90, 4.5, 50, 74.4, 47, 0.27, 0.1, 0.17, 2.53, 0.22],
    45,
    NORTH_DAKOTA,
    READ_STRAW,
  ),
];
