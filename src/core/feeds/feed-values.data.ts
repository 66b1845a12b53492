import type { ForageAnalysis } from '../forage/forage-analysis.js';
import type { FeedGroup } from '../nutrients/feed-groups.data.js';

/** Typical composition of a feed other than hay, on the dry matter basis. A test or a label of the lot replaces it. */
export interface FeedValue {
  readonly key: string;
  readonly name: string;
  readonly group: FeedGroup;
  readonly analysis: ForageAnalysis;
  /** Fields whose figure was read in the source named first; the others are from memory of the second. */
  readonly confirmedFields: readonly (keyof ForageAnalysis)[];
  readonly source: string;
}

const NORTH_DAKOTA =
  'North Dakota State University Extension, Feeding corn to beef cattle, Table 1, after NASEM 2016; the rest NRC ' +
  '2000, feed composition table (from memory)';
const ALABAMA =
  'Alabama Cooperative Extension, Nutrient composition of by-product feeds, Table 1, after NRC 1996 and Preston ' +
  '2014; the rest NRC 2000, feed composition table (from memory)';
const NRC = 'NRC 2000, feed composition table (from memory)';
const CUBES = 'a feed tag of 20 % protein as fed; the rest common practice, no source';
/**
 * Salts and rock have no protein, fiber, fat, nitrate or energy that cattle can use. Common practice, no source: what a
 * mineral is mixed with, such as a little molasses, is not counted unless its label or test tells it.
 */
export const NOTHING_ORGANIC = {
  crudeProteinPercent: 0,
  acidDetergentFiberPercent: 0,
  neutralDetergentFiberPercent: 0,
  fatPercent: 0,
  totalDigestibleNutrientsPercent: 0,
  netEnergyMaintenanceMcalPerKg: 0,
  netEnergyGainMcalPerKg: 0,
  nitrateNitrogenPpm: 0,
} as const;

type Figures = readonly [
  dm: number,
  cp: number,
  rdp: number,
  adf: number,
  ndf: number,
  fat: number,
  tdn: number,
  ca: number,
  p: number,
  mg: number,
  k: number,
  s: number,
  na: number,
];

function analysisOf([dm, cp, rdp, adf, ndf, fat, tdn, ca, p, mg, k, s, na]: Figures): ForageAnalysis {
  return {
    dryMatterPercent: dm,
    crudeProteinPercent: cp,
    degradableProteinPercentOfCrudeProtein: rdp,
    acidDetergentFiberPercent: adf,
    neutralDetergentFiberPercent: ndf,
    fatPercent: fat,
    totalDigestibleNutrientsPercent: tdn,
    calciumPercent: ca,
    phosphorusPercent: p,
    magnesiumPercent: mg,
    potassiumPercent: k,
    sulfurPercent: s,
    sodiumPercent: na,
  };
}

const READ_GRAIN = [
  'crudeProteinPercent',
  'degradableProteinPercentOfCrudeProtein',
  'acidDetergentFiberPercent',
  'neutralDetergentFiberPercent',
  'totalDigestibleNutrientsPercent',
  'netEnergyMaintenanceMcalPerKg',
  'netEnergyGainMcalPerKg',
] as const;
const READ_BY_PRODUCT = [
  'dryMatterPercent',
  'crudeProteinPercent',
  'totalDigestibleNutrientsPercent',
  'calciumPercent',
  'phosphorusPercent',
] as const;

const grain = (key: string, name: string, figures: Figures, nem: number, neg: number): FeedValue => ({
  key,
  name,
  group: 'grain',
  analysis: { ...analysisOf(figures), netEnergyMaintenanceMcalPerKg: nem, netEnergyGainMcalPerKg: neg },
  confirmedFields: READ_GRAIN,
  source: NORTH_DAKOTA,
});
const byProduct = (key: string, name: string, group: FeedGroup, figures: Figures): FeedValue => ({
  key,
  name,
  group,
  analysis: analysisOf(figures),
  confirmedFields: READ_BY_PRODUCT,
  source: ALABAMA,
});
const remembered = (key: string, name: string, group: FeedGroup, figures: Figures, source = NRC): FeedValue => ({
  key,
  name,
  group,
  analysis: analysisOf(figures),
  confirmedFields: [],
  source,
});
const mineral = (
  key: string,
  name: string,
  [dm, ca, p, mg, k, s, na]: readonly [number, number, number, number, number, number, number],
  confirmedFields: FeedValue['confirmedFields'],
  source: string,
): FeedValue => ({
  key,
  name,
  group: 'mineral',
  analysis: {
    dryMatterPercent: dm,
    ...NOTHING_ORGANIC,
    calciumPercent: ca,
    phosphorusPercent: p,
    magnesiumPercent: mg,
    potassiumPercent: k,
    sulfurPercent: s,
    sodiumPercent: na,
  },
  confirmedFields: [...confirmedFields, ...(Object.keys(NOTHING_ORGANIC) as (keyof ForageAnalysis)[])],
  source,
});

// Columns: DM, CP, degradable share of CP, ADF, NDF, fat, TDN, Ca, P, Mg, K, S, Na; NEm and NEg of grains.
// Of minerals: DM, Ca, P, Mg, K, S, Na.
export const FEED_VALUES: readonly FeedValue[] = [
  grain('corn-grain', 'Corn', [88, 8.8, 34.7, 3.6, 9.7, 4.3, 87.6, 0.03, 0.32, 0.12, 0.44, 0.11, 0.01], 2.17, 1.49),
  grain(
    'barley-grain',
    'Barley',
    [88, 12.8, 49.2, 7.1, 18.3, 2.2, 84.1, 0.05, 0.35, 0.12, 0.57, 0.15, 0.01],
    2.06,
    1.4,
  ),
  grain('oats-grain', 'Oats', [89, 12.6, 43.5, 13.3, 26.7, 5.2, 83, 0.07, 0.38, 0.14, 0.45, 0.21, 0.02], 2.03, 1.37),
  grain('wheat-grain', 'Wheat', [89, 13.8, 64.4, 4.2, 12.4, 2.3, 86.8, 0.05, 0.44, 0.13, 0.4, 0.14, 0.01], 2.15, 1.47),
  byProduct(
    'distillers-grains',
    'Dried distillers grains with solubles',
    'grain',
    [90, 28, 48, 21, 46, 10.7, 95, 0.05, 0.88, 0.33, 1.08, 0.65, 0.24],
  ),
  byProduct(
    'corn-gluten-feed',
    'Corn gluten feed',
    'grain',
    [90, 24, 75, 12, 37, 3.9, 83, 0.08, 0.55, 0.4, 1.4, 0.47, 0.26],
  ),
  byProduct(
    'soybean-hulls',
    'Soybean hulls',
    'grain',
    [90, 12, 70, 49, 66, 2.1, 78, 0.55, 0.2, 0.22, 1.29, 0.11, 0.03],
  ),
  byProduct(
    'wheat-middlings',
    'Wheat middlings',
    'grain',
    [90, 18, 77, 12, 37, 4.5, 83, 0.16, 1.1, 0.45, 1.3, 0.19, 0.01],
  ),
  byProduct('cottonseed-meal', 'Cottonseed meal', 'protein', [90, 45, 57, 19, 29, 2, 78, 0.2, 1, 0.58, 1.6, 0.4, 0.05]),
  remembered(
    'soybean-meal',
    'Soybean meal, solvent-extracted',
    'protein',
    [89, 49.9, 66, 10, 14.9, 1.6, 84, 0.4, 0.71, 0.31, 2.22, 0.46, 0.04],
  ),
  remembered(
    'canola-meal',
    'Canola meal',
    'protein',
    [92, 40.9, 68, 17, 27.2, 3.5, 69, 0.7, 1.2, 0.57, 1.37, 1.17, 0.03],
  ),
  remembered(
    'range-cubes-20',
    'Range cubes, 20 % protein',
    'protein',
    [90, 22.2, 60, 15, 30, 3, 75, 0.8, 0.8, 0.35, 1.1, 0.3, 0.3],
    CUBES,
  ),
  remembered(
    'corn-silage',
    'Corn silage',
    'silage',
    [35, 8.7, 77, 28, 46, 3.1, 72, 0.25, 0.22, 0.18, 1.14, 0.12, 0.01],
  ),
  mineral(
    'salt',
    'Salt',
    [99, 0, 0, 0, 0, 0, 39.34],
    ['sodiumPercent'],
    'sodium of sodium chloride by IUPAC atomic masses; salt holds nothing else',
  ),
  mineral(
    'dicalcium-phosphate',
    'Dicalcium phosphate',
    [97, 23, 18, 0.6, 0.1, 1.1, 0.1],
    ['calciumPercent', 'phosphorusPercent'],
    'National Dairy Development Board, Dairy Knowledge Portal, Table 5.1 of mineral mixtures; the rest NRC 2000 ' +
      '(from memory)',
  ),
  mineral(
    'limestone',
    'Limestone, ground',
    [99, 38, 0.02, 0.5, 0.12, 0.04, 0.06],
    ['calciumPercent'],
    'feed-grade calcium carbonate as given below Table 2 of PMC6140836; the rest NRC 2000 (from memory)',
  ),
  mineral(
    'magnesium-oxide',
    'Magnesium oxide',
    [98, 3.1, 0, 52, 0, 0.1, 0],
    ['magnesiumPercent'],
    'National Dairy Development Board, Dairy Knowledge Portal, Table 5.1 of mineral mixtures; the rest NRC 2000 ' +
      '(from memory)',
  ),
];

/** The book value of a feed other than hay by its key. `undefined` if there is none. */
export function feedValue(key: string): FeedValue | undefined {
  return FEED_VALUES.find((candidate) => candidate.key === key);
}
