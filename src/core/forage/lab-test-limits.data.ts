import type { ForageAnalysisField } from './forage-analysis.js';

/**
 * Range of one field on the dry matter basis. Outside `possible` a test is refused, outside `likely` it is warned
 * about.
 */
export interface LabTestLimit {
  readonly field: ForageAnalysisField;
  readonly possible: readonly [number, number];
  readonly likely: readonly [number, number];
  readonly unit: string;
  readonly source: string;
}

const RANGE_OF_HAYS = 'range of hays and straws in NRC 2000 feed tables, widened (from memory)';
const PRACTICE = 'common practice, no source';

export const LAB_TEST_LIMITS: readonly LabTestLimit[] = [
  {
    field: 'dryMatterPercent',
    possible: [Number.MIN_VALUE, 100],
    likely: [75, 96],
    unit: '%',
    source:
      'hay baled above about 20 % moisture heats (Purdue Extension); drier than 4 % moisture is not met in ' +
      'barns (common practice)',
  },
  { field: 'crudeProteinPercent', possible: [0, 40], likely: [2, 30], unit: '% of DM', source: RANGE_OF_HAYS },
  {
    field: 'degradableProteinPercentOfCrudeProtein',
    possible: [0, 100],
    likely: [20, 95],
    unit: '% of CP',
    source: RANGE_OF_HAYS,
  },
  { field: 'acidDetergentFiberPercent', possible: [0, 100], likely: [18, 60], unit: '% of DM', source: RANGE_OF_HAYS },
  {
    field: 'neutralDetergentFiberPercent',
    possible: [0, 100],
    likely: [25, 85],
    unit: '% of DM',
    source: RANGE_OF_HAYS,
  },
  {
    field: 'ashFreeNeutralDetergentFiberPercent',
    possible: [0, 100],
    likely: [22, 84],
    unit: '% of DM',
    source: RANGE_OF_HAYS,
  },
  { field: 'ligninPercent', possible: [0, 50], likely: [2, 18], unit: '% of DM', source: RANGE_OF_HAYS },
  {
    field: 'fiberDigestibility48hPercentOfNdf',
    possible: [0, 100],
    likely: [20, 80],
    unit: '% of NDF',
    source: PRACTICE,
  },
  { field: 'nonFiberCarbohydratePercent', possible: [0, 100], likely: [5, 45], unit: '% of DM', source: PRACTICE },
  { field: 'fatPercent', possible: [0, 30], likely: [0.5, 6], unit: '% of DM', source: RANGE_OF_HAYS },
  {
    field: 'ashPercent',
    possible: [0, 60],
    likely: [3, 18],
    unit: '% of DM',
    source: 'more ash than about 18 % means soil (common practice, no source)',
  },
  {
    field: 'totalDigestibleNutrientsPercent',
    possible: [0, 100],
    likely: [35, 75],
    unit: '% of DM',
    source: RANGE_OF_HAYS,
  },
  {
    field: 'netEnergyMaintenanceMcalPerKg',
    possible: [0, 3],
    likely: [0.6, 1.9],
    unit: 'Mcal/kg of DM',
    source: 'NRC 2000 cubic at 40 and 75 % TDN, rounded outward',
  },
  {
    field: 'netEnergyGainMcalPerKg',
    possible: [-1, 2.5],
    likely: [0, 1.3],
    unit: 'Mcal/kg of DM',
    source: 'NRC 2000 cubic at 40 and 75 % TDN, rounded outward',
  },
  { field: 'calciumPercent', possible: [0, 15], likely: [0.1, 2.5], unit: '% of DM', source: RANGE_OF_HAYS },
  { field: 'phosphorusPercent', possible: [0, 5], likely: [0.03, 0.6], unit: '% of DM', source: RANGE_OF_HAYS },
  { field: 'magnesiumPercent', possible: [0, 5], likely: [0.05, 0.8], unit: '% of DM', source: RANGE_OF_HAYS },
  { field: 'potassiumPercent', possible: [0, 12], likely: [0.3, 5], unit: '% of DM', source: RANGE_OF_HAYS },
  { field: 'sulfurPercent', possible: [0, 5], likely: [0.03, 0.7], unit: '% of DM', source: RANGE_OF_HAYS },
  { field: 'sodiumPercent', possible: [0, 10], likely: [0, 1.5], unit: '% of DM', source: RANGE_OF_HAYS },
  {
    field: 'nitrateNitrogenPpm',
    possible: [0, 50_000],
    likely: [0, 10_000],
    unit: 'mg NO3-N/kg of DM',
    source:
      'above 4000 every guide says do not feed; above 10 000 a unit is usually mistaken (common practice, no source)',
  },
  {
    field: 'relativeFeedValue',
    possible: [1, 600],
    likely: [45, 260],
    unit: 'index',
    source: 'Rohweder, Barnes & Jorgensen 1978 at the likely fibres',
  },
  { field: 'relativeForageQuality', possible: [1, 600], likely: [40, 280], unit: 'index', source: PRACTICE },
];

/** A printed relative feed value that differs from the one its own fibres give by more than this is warned about. */
export const RELATIVE_FEED_VALUE_TOLERANCE = {
  points: 6,
  source: 'published tables round intermediates and differ by up to about 2; 6 is common practice, no source',
} as const;
/** CP, fibre, fat and ash overlap a little (protein in fibre), so their sum may pass 100 by no more than this. */
export const SUM_OF_PARTS_LIMIT = {
  percent: 103,
  source:
    'composition: 0.93·NDF + CP + fat + ash cannot exceed the dry matter but for laboratory error (NRC 2001 factor)',
} as const;
