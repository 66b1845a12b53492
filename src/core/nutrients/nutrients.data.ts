import { sizeOf, unitsOf } from '../units/unit.js';
import type { FeedGroup } from './feed-groups.data.js';
import type { LabLimits, NutrientRow } from './nutrient-row.js';

const RANGE_OF_HAYS = 'range of hays and straws in NRC 2000 feed tables, widened (from memory)';
const PRACTICE = 'common practice, no source';
const MP391 = 'Gadberry, University of Arkansas MP391, Table 1, after NRC 1996 Table 5-1';

type OtherGroup = Exclude<FeedGroup, 'hay'>;
/** Typical figures of hay, minerals and premixes. */
const TRACE_RANGES = 'range of NRC 2000 feed tables and of complete minerals, widened (from memory)';
const NASEM_MAXIMUM = 'NASEM 2016, read at the Merck Veterinary Manual, maximum tolerable amounts of beef cattle';
const VITAMINS =
  'NASEM 2016, read at the Merck Veterinary Manual, fat-soluble vitamins of beef cattle; highest safe levels NRC ' +
  '1987, Vitamin Tolerance of Animals (from memory)';
/** What the range of each group of feeds other than hay is based on. */
const RANGE_OF_OTHER_FEEDS: Readonly<Record<OtherGroup, string>> = {
  silage: 'range of silages in NRC 2000 feed tables, widened (from memory)',
  grain: 'range of grains and by-products in NRC 2000 feed tables, widened (from memory)',
  protein:
    'range of oilseed meals in NRC 2000 feed tables, widened for cubes and tubs (from memory); urea is 281 % protein ' +
    'equivalent',
  mineral:
    'pure compounds by IUPAC atomic masses: calcium carbonate 40.0 % Ca, phosphoric acid 31.6 % P, magnesium oxide ' +
    '60.3 % Mg, potassium chloride 52.4 % K, salt 39.3 % Na; complete minerals stay below (Clemson University ' +
    'Extension BC-3001)',
};

/** Limits of the feeds other than hay: what is possible and what is likely for each. */
function ofOtherFeeds(ranges: Readonly<Record<OtherGroup, Omit<LabLimits, 'source'>>>): Record<OtherGroup, LabLimits> {
  const of = (group: OtherGroup): LabLimits => ({ ...ranges[group], source: RANGE_OF_OTHER_FEEDS[group] });
  return { silage: of('silage'), grain: of('grain'), protein: of('protein'), mineral: of('mineral') };
}

/** Their factors to Mcal per kilogram of dry matter. */
const ENERGY_UNITS: Readonly<Record<string, number>> = Object.fromEntries(
  unitsOf('energy content').map((unit) => [unit, sizeOf(unit).toNumber()]),
);
const PARTS_PER_MILLION = { ppm: 1, 'mg/kg': 1, '%': 10_000 } as const;
const INTERNATIONAL_UNITS = { 'IU/kg': 1, 'IU/lb': 1 / 0.45359237 } as const;
/** Crude protein is nitrogen times 6.25. Source: AOAC Official Method 990.03 (from memory). */
const PROTEIN_PER_NITROGEN = 6.25;
/**
 * Labels give urea and its like as the crude protein that its nitrogen counts for; some give the urea itself. Source:
 * BEEF magazine, More on feed tag: urea is 281 % crude protein equivalent, which is 45 % N.
 */
export const PROTEIN_EQUIVALENT_OF_UREA = 2.81;
/** Nitrate is reported as the ion or as its nitrogen; the unit says which. Source: IUPAC atomic masses of N and O. */
const NITROGEN_MASS = 14.0067;
const NITRATE_MASS = 62.0049;
/** Labels give salt instead of sodium. Source: IUPAC atomic masses of Na and Cl. */
const SODIUM_MASS = 22.9898;
const CHLORINE_MASS = 35.453;

/**
 * Every nutrient, in the order of a lab report. From these rows come the fields of an analysis, the limits of a lab
 * test, the sums of a ration, the lines it is judged by, the minerals of the least-cost ration, the schemas of the
 * API and the columns of an import. A new nutrient is a row here, the equation of its need where it has one of its
 * own, and a test.
 */
export const NUTRIENTS = {
  dryMatter: {
    name: 'Dry matter',
    group: 'dry matter',
    lab: {
      field: 'dryMatterPercent',
      unit: '%',
      typedIn: { '%': 1 },
      scalesWithDryMatter: false,
      severalTests: 'mean',
      limits: {
        hay: {
          possible: [Number.MIN_VALUE, 100],
          likely: [75, 96],
          source:
            'hay baled above about 20 % moisture heats (Purdue Extension); drier than 4 % moisture is not met in ' +
            'barns (common practice)',
        },
        ...ofOtherFeeds({
          silage: { possible: [Number.MIN_VALUE, 100], likely: [20, 75] },
          grain: { possible: [Number.MIN_VALUE, 100], likely: [30, 96] },
          protein: { possible: [Number.MIN_VALUE, 100], likely: [50, 99] },
          mineral: { possible: [Number.MIN_VALUE, 100], likely: [85, 100] },
        }),
      },
    },
    need: { kind: 'range', unit: 'kg/d', decimals: 1, tooMuch: 'predicted intake' },
  },
  crudeProtein: {
    name: 'Crude protein',
    group: 'protein',
    lab: {
      field: 'crudeProteinPercent',
      unit: '% of DM',
      typedIn: { '%': 1 },
      scalesWithDryMatter: true,
      severalTests: 'mean',
      limits: {
        hay: { possible: [0, 40], likely: [2, 30], source: RANGE_OF_HAYS },
        ...ofOtherFeeds({
          silage: { possible: [0, 40], likely: [4, 25] },
          grain: { possible: [0, 100], likely: [6, 40] },
          protein: { possible: [0, 300], likely: [12, 60] },
          mineral: { possible: [0, 300], likely: [0, 20] },
        }),
      },
    },
    ration: { perKg: 10, unit: 'g' },
    need: { kind: 'minimum', unit: 'g/d', decimals: 1 },
  },
  degradableProtein: {
    name: 'Rumen-degradable share of the crude protein',
    group: 'protein',
    lab: {
      field: 'degradableProteinPercentOfCrudeProtein',
      unit: '% of CP',
      typedIn: { '% of CP': 1 },
      scalesWithDryMatter: false,
      severalTests: 'mean',
      limits: {
        hay: { possible: [0, 100], likely: [20, 95], source: RANGE_OF_HAYS },
        ...ofOtherFeeds({
          silage: { possible: [0, 100], likely: [40, 95] },
          grain: { possible: [0, 100], likely: [15, 95] },
          protein: { possible: [0, 100], likely: [15, 100] },
          mineral: { possible: [0, 100], likely: [0, 100] },
        }),
      },
    },
    ration: { shareOf: 'crudeProtein', unit: 'g' },
    need: { kind: 'minimum', unit: 'g/d', decimals: 1 },
  },
  nonProteinNitrogen: {
    name: 'Protein equivalent of non-protein nitrogen',
    group: 'protein',
    lab: {
      field: 'nonProteinNitrogenPercent',
      unit: '% of DM',
      typedIn: { '%': 1, '% N': PROTEIN_PER_NITROGEN, '% urea': PROTEIN_EQUIVALENT_OF_UREA },
      scalesWithDryMatter: true,
      severalTests: 'highest',
      labelStates: 'maximum',
      limits: {
        hay: { possible: [0, 40], likely: [0, 10], source: PRACTICE },
        ...ofOtherFeeds({
          silage: { possible: [0, 40], likely: [0, 12] },
          grain: { possible: [0, 100], likely: [0, 15] },
          protein: { possible: [0, 300], likely: [0, 50] },
          mineral: { possible: [0, 300], likely: [0, 60] },
        }),
      },
    },
  },
  acidDetergentFiber: {
    name: 'ADF',
    group: 'fiber',
    lab: {
      field: 'acidDetergentFiberPercent',
      unit: '% of DM',
      typedIn: { '%': 1 },
      scalesWithDryMatter: true,
      severalTests: 'mean',
      limits: {
        hay: { possible: [0, 100], likely: [18, 60], source: RANGE_OF_HAYS },
        ...ofOtherFeeds({
          silage: { possible: [0, 100], likely: [15, 55] },
          grain: { possible: [0, 100], likely: [2, 66] },
          protein: { possible: [0, 100], likely: [2, 40] },
          mineral: { possible: [0, 100], likely: [0, 10] },
        }),
      },
    },
  },
  neutralDetergentFiber: {
    name: 'NDF (aNDF)',
    group: 'fiber',
    lab: {
      field: 'neutralDetergentFiberPercent',
      unit: '% of DM',
      typedIn: { '%': 1 },
      scalesWithDryMatter: true,
      severalTests: 'mean',
      limits: {
        hay: { possible: [0, 100], likely: [25, 85], source: RANGE_OF_HAYS },
        ...ofOtherFeeds({
          silage: { possible: [0, 100], likely: [25, 80] },
          grain: { possible: [0, 100], likely: [5, 90] },
          protein: { possible: [0, 100], likely: [4, 60] },
          mineral: { possible: [0, 100], likely: [0, 15] },
        }),
      },
    },
    ration: { perKg: 0.01, unit: 'kg' },
  },
  ashFreeNeutralDetergentFiber: {
    name: 'aNDFom',
    group: 'fiber',
    lab: {
      field: 'ashFreeNeutralDetergentFiberPercent',
      unit: '% of DM',
      typedIn: { '%': 1 },
      scalesWithDryMatter: true,
      severalTests: 'mean',
      limits: {
        hay: { possible: [0, 100], likely: [22, 84], source: RANGE_OF_HAYS },
        ...ofOtherFeeds({
          silage: { possible: [0, 100], likely: [22, 79] },
          grain: { possible: [0, 100], likely: [4, 89] },
          protein: { possible: [0, 100], likely: [3, 59] },
          mineral: { possible: [0, 100], likely: [0, 15] },
        }),
      },
    },
  },
  lignin: {
    name: 'Lignin',
    group: 'fiber',
    lab: {
      field: 'ligninPercent',
      unit: '% of DM',
      typedIn: { '%': 1 },
      scalesWithDryMatter: true,
      severalTests: 'mean',
      limits: {
        hay: { possible: [0, 50], likely: [2, 18], source: RANGE_OF_HAYS },
        ...ofOtherFeeds({
          silage: { possible: [0, 50], likely: [1, 15] },
          grain: { possible: [0, 50], likely: [0, 25] },
          protein: { possible: [0, 50], likely: [0, 15] },
          mineral: { possible: [0, 50], likely: [0, 3] },
        }),
      },
    },
  },
  fiberDigestibility48h: {
    name: 'NDF digestibility, 48 hours',
    group: 'fiber',
    lab: {
      field: 'fiberDigestibility48hPercentOfNdf',
      unit: '% of NDF',
      typedIn: { '% of NDF': 1 },
      scalesWithDryMatter: false,
      severalTests: 'mean',
      limits: {
        hay: { possible: [0, 100], likely: [20, 80], source: PRACTICE },
        ...ofOtherFeeds({
          silage: { possible: [0, 100], likely: [20, 85] },
          grain: { possible: [0, 100], likely: [20, 95] },
          protein: { possible: [0, 100], likely: [20, 95] },
          mineral: { possible: [0, 100], likely: [0, 100] },
        }),
      },
    },
  },
  nonFiberCarbohydrate: {
    name: 'NFC',
    group: 'fat and ash',
    lab: {
      field: 'nonFiberCarbohydratePercent',
      unit: '% of DM',
      typedIn: { '%': 1 },
      scalesWithDryMatter: true,
      severalTests: 'mean',
      limits: {
        hay: { possible: [0, 100], likely: [5, 45], source: PRACTICE },
        ...ofOtherFeeds({
          silage: { possible: [0, 100], likely: [5, 55] },
          grain: { possible: [0, 100], likely: [4, 88] },
          protein: { possible: [0, 100], likely: [2, 60] },
          mineral: { possible: [0, 100], likely: [0, 20] },
        }),
      },
    },
  },
  fat: {
    name: 'Fat',
    group: 'fat and ash',
    lab: {
      field: 'fatPercent',
      unit: '% of DM',
      typedIn: { '%': 1 },
      scalesWithDryMatter: true,
      severalTests: 'mean',
      limits: {
        hay: { possible: [0, 30], likely: [0.5, 6], source: RANGE_OF_HAYS },
        ...ofOtherFeeds({
          silage: { possible: [0, 30], likely: [1, 6] },
          grain: { possible: [0, 100], likely: [0.5, 25] },
          protein: { possible: [0, 100], likely: [0.5, 25] },
          mineral: { possible: [0, 100], likely: [0, 10] },
        }),
      },
    },
    ration: { perKg: 0.01, unit: 'kg' },
  },
  ash: {
    name: 'Ash',
    group: 'fat and ash',
    lab: {
      field: 'ashPercent',
      unit: '% of DM',
      typedIn: { '%': 1 },
      scalesWithDryMatter: true,
      weakByNearInfrared: true,
      severalTests: 'mean',
      limits: {
        hay: {
          possible: [0, 60],
          likely: [3, 18],
          source: 'more ash than about 18 % means soil (common practice, no source)',
        },
        ...ofOtherFeeds({
          silage: { possible: [0, 60], likely: [3, 18] },
          grain: { possible: [0, 60], likely: [1, 15] },
          protein: { possible: [0, 100], likely: [3, 35] },
          mineral: { possible: [0, 100], likely: [30, 100] },
        }),
      },
    },
  },
  totalDigestibleNutrients: {
    name: 'TDN',
    group: 'energy',
    lab: {
      field: 'totalDigestibleNutrientsPercent',
      unit: '% of DM',
      typedIn: { '%': 1 },
      scalesWithDryMatter: true,
      severalTests: 'mean',
      limits: {
        hay: { possible: [0, 100], likely: [35, 75], source: RANGE_OF_HAYS },
        ...ofOtherFeeds({
          silage: { possible: [0, 100], likely: [45, 78] },
          grain: { possible: [0, 200], likely: [40, 105] },
          protein: { possible: [0, 150], likely: [50, 95] },
          mineral: { possible: [0, 100], likely: [0, 20] },
        }),
      },
    },
    ration: { perKg: 0.01, unit: 'kg' },
    need: { kind: 'minimum', unit: 'kg/d', decimals: 1 },
  },
  netEnergyMaintenance: {
    name: 'NEm',
    group: 'energy',
    lab: {
      field: 'netEnergyMaintenanceMcalPerKg',
      unit: 'Mcal/kg of DM',
      typedIn: ENERGY_UNITS,
      scalesWithDryMatter: true,
      severalTests: 'mean',
      limits: {
        hay: { possible: [0, 3], likely: [0.6, 1.9], source: 'NRC 2000 cubic at 40 and 75 % TDN, rounded outward' },
        ...ofOtherFeeds({
          silage: { possible: [0, 3], likely: [0.8, 2] },
          grain: { possible: [0, 5], likely: [0.7, 2.6] },
          protein: { possible: [0, 4], likely: [1, 2.4] },
          mineral: { possible: [0, 3], likely: [0, 0.5] },
        }),
      },
    },
    ration: { perKg: 1, unit: 'Mcal' },
    need: { kind: 'minimum', unit: 'Mcal/d', decimals: 3 },
  },
  netEnergyGain: {
    name: 'NEg',
    group: 'energy',
    lab: {
      field: 'netEnergyGainMcalPerKg',
      unit: 'Mcal/kg of DM',
      typedIn: ENERGY_UNITS,
      scalesWithDryMatter: true,
      mayBeNegative: true,
      severalTests: 'mean',
      limits: {
        hay: { possible: [-1, 2.5], likely: [0, 1.3], source: 'NRC 2000 cubic at 40 and 75 % TDN, rounded outward' },
        ...ofOtherFeeds({
          silage: { possible: [-1, 2.5], likely: [0.2, 1.4] },
          grain: { possible: [-1, 4], likely: [0.1, 1.9] },
          protein: { possible: [-1, 3], likely: [0.4, 1.7] },
          mineral: { possible: [-1, 2.5], likely: [0, 0.3] },
        }),
      },
    },
    ration: { perKg: 1, unit: 'Mcal' },
    need: { kind: 'minimum', unit: 'Mcal/d', decimals: 3 },
  },
  calcium: {
    name: 'Calcium',
    group: 'mineral',
    lab: {
      field: 'calciumPercent',
      unit: '% of DM',
      typedIn: { '%': 1 },
      scalesWithDryMatter: true,
      weakByNearInfrared: true,
      severalTests: 'mean-and-worst',
      limits: {
        hay: { possible: [0, 15], likely: [0.1, 2.5], source: RANGE_OF_HAYS },
        ...ofOtherFeeds({
          silage: { possible: [0, 15], likely: [0.1, 2.5] },
          grain: { possible: [0, 15], likely: [0, 2.5] },
          protein: { possible: [0, 40.1], likely: [0.05, 5] },
          mineral: { possible: [0, 40.1], likely: [0, 39] },
        }),
      },
    },
    ration: { perKg: 10, unit: 'g' },
    need: { kind: 'minimum', unit: 'g/d', decimals: 2, equation: 'sum of uses', inLeastCost: true },
  },
  phosphorus: {
    name: 'Phosphorus',
    group: 'mineral',
    lab: {
      field: 'phosphorusPercent',
      unit: '% of DM',
      typedIn: { '%': 1 },
      scalesWithDryMatter: true,
      weakByNearInfrared: true,
      severalTests: 'mean-and-worst',
      limits: {
        hay: { possible: [0, 5], likely: [0.03, 0.6], source: RANGE_OF_HAYS },
        ...ofOtherFeeds({
          silage: { possible: [0, 5], likely: [0.1, 0.6] },
          grain: { possible: [0, 5], likely: [0.05, 1.8] },
          protein: { possible: [0, 32], likely: [0.2, 3] },
          mineral: { possible: [0, 32], likely: [0, 25] },
        }),
      },
    },
    ration: { perKg: 10, unit: 'g' },
    need: { kind: 'minimum', unit: 'g/d', decimals: 2, equation: 'sum of uses', inLeastCost: true },
  },
  magnesium: {
    name: 'Magnesium',
    group: 'mineral',
    lab: {
      field: 'magnesiumPercent',
      unit: '% of DM',
      typedIn: { '%': 1 },
      scalesWithDryMatter: true,
      weakByNearInfrared: true,
      severalTests: 'mean-and-worst',
      limits: {
        hay: { possible: [0, 5], likely: [0.05, 0.8], source: RANGE_OF_HAYS },
        ...ofOtherFeeds({
          silage: { possible: [0, 5], likely: [0.05, 0.8] },
          grain: { possible: [0, 5], likely: [0.05, 1] },
          protein: { possible: [0, 60.4], likely: [0.1, 3] },
          mineral: { possible: [0, 60.4], likely: [0, 58] },
        }),
      },
    },
    ration: { perKg: 10, unit: 'g' },
    need: {
      kind: 'range',
      unit: 'g/d',
      decimals: 2,
      equation: 'share of dry matter',
      tooMuch: 'tolerable share of dry matter',
      inLeastCost: true,
    },
    ofDryMatter: {
      unit: '% of DM',
      growing: 0.1,
      gestating: 0.12,
      lactating: 0.2,
      maximum: 0.4,
      note: '',
      source: MP391,
    },
  },
  potassium: {
    name: 'Potassium',
    group: 'mineral',
    lab: {
      field: 'potassiumPercent',
      unit: '% of DM',
      typedIn: { '%': 1 },
      scalesWithDryMatter: true,
      weakByNearInfrared: true,
      severalTests: 'mean-and-worst',
      limits: {
        hay: { possible: [0, 12], likely: [0.3, 5], source: RANGE_OF_HAYS },
        ...ofOtherFeeds({
          silage: { possible: [0, 12], likely: [0.3, 5] },
          grain: { possible: [0, 12], likely: [0.2, 6] },
          protein: { possible: [0, 52.5], likely: [0.3, 6] },
          mineral: { possible: [0, 52.5], likely: [0, 51] },
        }),
      },
    },
    ration: { perKg: 10, unit: 'g' },
    need: {
      kind: 'range',
      unit: 'g/d',
      decimals: 2,
      equation: 'share of dry matter',
      tooMuch: 'tolerable share of dry matter',
      inLeastCost: true,
    },
    ofDryMatter: { unit: '% of DM', growing: 0.6, gestating: 0.6, lactating: 0.7, maximum: 3, note: '', source: MP391 },
  },
  sulfur: {
    name: 'Sulfur',
    group: 'mineral',
    lab: {
      field: 'sulfurPercent',
      unit: '% of DM',
      typedIn: { '%': 1 },
      scalesWithDryMatter: true,
      weakByNearInfrared: true,
      severalTests: 'mean-and-worst',
      limits: {
        hay: { possible: [0, 5], likely: [0.03, 0.7], source: RANGE_OF_HAYS },
        ...ofOtherFeeds({
          silage: { possible: [0, 5], likely: [0.03, 0.7] },
          grain: { possible: [0, 5], likely: [0.05, 1.5] },
          protein: { possible: [0, 100], likely: [0.1, 3] },
          mineral: { possible: [0, 100], likely: [0, 25] },
        }),
      },
    },
    ration: { perKg: 10, unit: 'g' },
    need: {
      kind: 'range',
      unit: 'g/d',
      decimals: 2,
      equation: 'share of dry matter',
      tooMuch: 'sulfur of feed and water',
    },
    ofDryMatter: {
      unit: '% of DM',
      growing: 0.15,
      gestating: 0.15,
      lactating: 0.15,
      maximum: 0.4,
      note: 'Later guides: at most 0.30 % under 15 % forage, 0.50 % over 40 % forage (National Academy 2005).',
      source: MP391,
    },
  },
  sodium: {
    name: 'Sodium',
    group: 'mineral',
    lab: {
      field: 'sodiumPercent',
      unit: '% of DM',
      typedIn: { '%': 1, '% salt': SODIUM_MASS / (SODIUM_MASS + CHLORINE_MASS) },
      scalesWithDryMatter: true,
      weakByNearInfrared: true,
      severalTests: 'mean',
      limits: {
        hay: { possible: [0, 10], likely: [0, 1.5], source: RANGE_OF_HAYS },
        ...ofOtherFeeds({
          silage: { possible: [0, 10], likely: [0, 1.5] },
          grain: { possible: [0, 39.4], likely: [0, 2] },
          protein: { possible: [0, 39.4], likely: [0, 12] },
          mineral: { possible: [0, 39.4], likely: [0, 39.4] },
        }),
      },
    },
    ration: { perKg: 10, unit: 'g' },
    need: { kind: 'minimum', unit: 'g/d', decimals: 2, equation: 'share of dry matter', inLeastCost: true },
    ofDryMatter: {
      unit: '% of DM',
      growing: 0.08,
      gestating: 0.08,
      lactating: 0.1,
      maximum: null,
      note: 'Printed as 0.06 to 0.08 for growing and gestating cattle; the upper end is used.',
      source: MP391,
    },
  },
  nitrate: {
    name: 'Nitrate',
    group: 'nitrate',
    lab: {
      field: 'nitrateNitrogenPpm',
      unit: 'mg NO3-N/kg of DM',
      typedIn: {
        'ppm NO3-N': 1,
        '% NO3-N': 10_000,
        'ppm NO3': NITROGEN_MASS / NITRATE_MASS,
        '% NO3': (10_000 * NITROGEN_MASS) / NITRATE_MASS,
      },
      scalesWithDryMatter: true,
      weakByNearInfrared: true,
      severalTests: 'highest',
      limits: {
        hay: {
          possible: [0, 50_000],
          likely: [0, 10_000],
          source:
            'above 4000 every guide says do not feed; above 10 000 a unit is ' +
            'usually mistaken (common practice, no source)',
        },
        ...ofOtherFeeds({
          silage: { possible: [0, 50_000], likely: [0, 10_000] },
          grain: { possible: [0, 50_000], likely: [0, 10_000] },
          protein: { possible: [0, 50_000], likely: [0, 10_000] },
          mineral: { possible: [0, 50_000], likely: [0, 10_000] },
        }),
      },
    },
    ration: { perKg: 0.001, unit: 'g' },
  },
  relativeFeedValue: {
    name: 'RFV as printed',
    group: 'index',
    lab: {
      field: 'relativeFeedValue',
      unit: 'index',
      typedIn: { index: 1 },
      scalesWithDryMatter: false,
      severalTests: 'mean',
      limits: {
        hay: {
          possible: [1, 600],
          likely: [45, 260],
          source: 'Rohweder, Barnes & Jorgensen 1978 at the likely fibers',
        },
        ...ofOtherFeeds({
          silage: { possible: [1, 600], likely: [45, 300] },
          grain: { possible: [1, 600], likely: [45, 300] },
          protein: { possible: [1, 600], likely: [45, 300] },
          mineral: { possible: [1, 600], likely: [45, 300] },
        }),
      },
    },
  },
  relativeForageQuality: {
    name: 'RFQ as printed',
    group: 'index',
    lab: {
      field: 'relativeForageQuality',
      unit: 'index',
      typedIn: { index: 1 },
      scalesWithDryMatter: false,
      severalTests: 'mean',
      limits: {
        hay: { possible: [1, 600], likely: [40, 280], source: PRACTICE },
        ...ofOtherFeeds({
          silage: { possible: [1, 600], likely: [40, 300] },
          grain: { possible: [1, 600], likely: [40, 300] },
          protein: { possible: [1, 600], likely: [40, 300] },
          mineral: { possible: [1, 600], likely: [40, 300] },
        }),
      },
    },
  },
  // Judged, but no laboratory reports them.
  metabolizableProtein: {
    name: 'Metabolizable protein',
    group: 'protein',
    need: { kind: 'minimum', unit: 'g/d', decimals: 1 },
  },
  fiberCapacity: {
    name: 'Fiber that the animal can hold',
    group: 'structure',
    need: { kind: 'maximum', unit: 'kg/d', decimals: 1 },
  },
  longStemForage: {
    name: 'Long-stem forage',
    group: 'structure',
    need: { kind: 'minimum', unit: 'kg/d', decimals: 1 },
  },
  // Needed by the milligram or the international unit: a ration is judged by those that one of its feeds reports.
  copper: {
    name: 'Copper',
    group: 'trace mineral',
    lab: {
      field: 'copperPpm',
      unit: 'mg/kg of DM',
      typedIn: PARTS_PER_MILLION,
      scalesWithDryMatter: true,
      severalTests: 'mean',
      limits: {
        hay: { possible: [0, 500000], likely: [1, 60], source: TRACE_RANGES },
        ...ofOtherFeeds({
          silage: { possible: [0, 500000], likely: [1, 60] },
          grain: { possible: [0, 500000], likely: [1, 60] },
          protein: { possible: [0, 500000], likely: [1, 1500] },
          mineral: { possible: [0, 500000], likely: [0, 10000] },
        }),
      },
    },
    ration: { perKg: 1, unit: 'mg' },
    need: { kind: 'range', unit: 'mg/d', decimals: 2, tooMuch: 'tolerable share of dry matter' },
    ofDryMatter: {
      unit: 'mg/kg of DM',
      growing: 10,
      gestating: 10,
      lactating: 10,
      maximum: 100,
      stricterMaximum: { maximum: 40, source: NASEM_MAXIMUM },
      note: '',
      source: MP391,
    },
  },
  manganese: {
    name: 'Manganese',
    group: 'trace mineral',
    lab: {
      field: 'manganesePpm',
      unit: 'mg/kg of DM',
      typedIn: PARTS_PER_MILLION,
      scalesWithDryMatter: true,
      severalTests: 'mean',
      limits: {
        hay: { possible: [0, 800000], likely: [5, 500], source: TRACE_RANGES },
        ...ofOtherFeeds({
          silage: { possible: [0, 800000], likely: [5, 500] },
          grain: { possible: [0, 800000], likely: [2, 300] },
          protein: { possible: [0, 800000], likely: [2, 3000] },
          mineral: { possible: [0, 800000], likely: [0, 20000] },
        }),
      },
    },
    ration: { perKg: 1, unit: 'mg' },
    need: { kind: 'range', unit: 'mg/d', decimals: 2, tooMuch: 'tolerable share of dry matter' },
    ofDryMatter: {
      unit: 'mg/kg of DM',
      growing: 20,
      gestating: 40,
      lactating: 40,
      maximum: 1000,
      note: '',
      source: MP391,
    },
  },
  zinc: {
    name: 'Zinc',
    group: 'trace mineral',
    lab: {
      field: 'zincPpm',
      unit: 'mg/kg of DM',
      typedIn: PARTS_PER_MILLION,
      scalesWithDryMatter: true,
      severalTests: 'mean',
      limits: {
        hay: { possible: [0, 810000], likely: [5, 200], source: TRACE_RANGES },
        ...ofOtherFeeds({
          silage: { possible: [0, 810000], likely: [5, 200] },
          grain: { possible: [0, 810000], likely: [5, 200] },
          protein: { possible: [0, 810000], likely: [5, 4000] },
          mineral: { possible: [0, 810000], likely: [0, 25000] },
        }),
      },
    },
    ration: { perKg: 1, unit: 'mg' },
    need: { kind: 'range', unit: 'mg/d', decimals: 2, tooMuch: 'tolerable share of dry matter' },
    ofDryMatter: {
      unit: 'mg/kg of DM',
      growing: 30,
      gestating: 30,
      lactating: 30,
      maximum: 500,
      note: '',
      source: MP391,
    },
  },
  selenium: {
    name: 'Selenium',
    group: 'trace mineral',
    lab: {
      field: 'seleniumPpm',
      unit: 'mg/kg of DM',
      typedIn: PARTS_PER_MILLION,
      scalesWithDryMatter: true,
      severalTests: 'mean',
      limits: {
        hay: { possible: [0, 500000], likely: [0, 5], source: TRACE_RANGES },
        ...ofOtherFeeds({
          silage: { possible: [0, 500000], likely: [0, 5] },
          grain: { possible: [0, 500000], likely: [0, 5] },
          protein: { possible: [0, 500000], likely: [0, 60] },
          mineral: { possible: [0, 500000], likely: [0, 200] },
        }),
      },
    },
    ration: { perKg: 1, unit: 'mg' },
    need: { kind: 'range', unit: 'mg/d', decimals: 2, tooMuch: 'tolerable share of dry matter' },
    ofDryMatter: {
      unit: 'mg/kg of DM',
      growing: 0.1,
      gestating: 0.1,
      lactating: 0.1,
      maximum: 2,
      note: '',
      source: MP391,
    },
  },
  iodine: {
    name: 'Iodine',
    group: 'trace mineral',
    lab: {
      field: 'iodinePpm',
      unit: 'mg/kg of DM',
      typedIn: PARTS_PER_MILLION,
      scalesWithDryMatter: true,
      severalTests: 'mean',
      limits: {
        hay: { possible: [0, 770000], likely: [0, 5], source: TRACE_RANGES },
        ...ofOtherFeeds({
          silage: { possible: [0, 770000], likely: [0, 5] },
          grain: { possible: [0, 770000], likely: [0, 5] },
          protein: { possible: [0, 770000], likely: [0, 100] },
          mineral: { possible: [0, 770000], likely: [0, 1000] },
        }),
      },
    },
    ration: { perKg: 1, unit: 'mg' },
    need: { kind: 'range', unit: 'mg/d', decimals: 2, tooMuch: 'tolerable share of dry matter' },
    ofDryMatter: {
      unit: 'mg/kg of DM',
      growing: 0.5,
      gestating: 0.5,
      lactating: 0.5,
      maximum: 50,
      note: '',
      source: MP391,
    },
  },
  cobalt: {
    name: 'Cobalt',
    group: 'trace mineral',
    lab: {
      field: 'cobaltPpm',
      unit: 'mg/kg of DM',
      typedIn: PARTS_PER_MILLION,
      scalesWithDryMatter: true,
      severalTests: 'mean',
      limits: {
        hay: { possible: [0, 790000], likely: [0, 3], source: TRACE_RANGES },
        ...ofOtherFeeds({
          silage: { possible: [0, 790000], likely: [0, 3] },
          grain: { possible: [0, 790000], likely: [0, 3] },
          protein: { possible: [0, 790000], likely: [0, 60] },
          mineral: { possible: [0, 790000], likely: [0, 500] },
        }),
      },
    },
    ration: { perKg: 1, unit: 'mg' },
    need: { kind: 'range', unit: 'mg/d', decimals: 2, tooMuch: 'tolerable share of dry matter' },
    ofDryMatter: {
      unit: 'mg/kg of DM',
      growing: 0.1,
      gestating: 0.1,
      lactating: 0.1,
      maximum: 10,
      note: '',
      source: MP391,
    },
  },
  iron: {
    name: 'Iron',
    group: 'trace mineral',
    lab: {
      field: 'ironPpm',
      unit: 'mg/kg of DM',
      typedIn: PARTS_PER_MILLION,
      scalesWithDryMatter: true,
      severalTests: 'mean',
      limits: {
        hay: { possible: [0, 780000], likely: [20, 1500], source: TRACE_RANGES },
        ...ofOtherFeeds({
          silage: { possible: [0, 780000], likely: [20, 2000] },
          grain: { possible: [0, 780000], likely: [10, 800] },
          protein: { possible: [0, 780000], likely: [10, 3000] },
          mineral: { possible: [0, 780000], likely: [0, 30000] },
        }),
      },
    },
    ration: { perKg: 1, unit: 'mg' },
    need: { kind: 'range', unit: 'mg/d', decimals: 2, tooMuch: 'tolerable share of dry matter' },
    ofDryMatter: {
      unit: 'mg/kg of DM',
      growing: 50,
      gestating: 50,
      lactating: 50,
      maximum: 1000,
      stricterMaximum: { maximum: 500, source: NASEM_MAXIMUM },
      note: '',
      source: MP391,
    },
  },
  vitaminA: {
    name: 'Vitamin A',
    group: 'vitamin',
    lab: {
      field: 'vitaminAIuPerKg',
      unit: 'IU/kg of DM',
      typedIn: INTERNATIONAL_UNITS,
      scalesWithDryMatter: true,
      severalTests: 'mean',
      limits: {
        hay: { possible: [0, 500000000], likely: [0, 200000], source: TRACE_RANGES },
        ...ofOtherFeeds({
          silage: { possible: [0, 500000000], likely: [0, 200000] },
          grain: { possible: [0, 500000000], likely: [0, 200000] },
          protein: { possible: [0, 500000000], likely: [0, 200000] },
          mineral: { possible: [0, 500000000], likely: [0, 1000000] },
        }),
      },
    },
    ration: { perKg: 1, unit: 'IU' },
    need: { kind: 'range', unit: 'IU/d', decimals: 0, tooMuch: 'tolerable share of dry matter' },
    ofDryMatter: {
      unit: 'IU/kg of DM',
      growing: 2200,
      gestating: 2800,
      lactating: 3900,
      maximum: 66_000,
      note: 'Carotene of green forage counts as well, 400 IU a milligram; a test seldom tells it.',
      source: VITAMINS,
    },
  },
  vitaminD: {
    name: 'Vitamin D',
    group: 'vitamin',
    lab: {
      field: 'vitaminDIuPerKg',
      unit: 'IU/kg of DM',
      typedIn: INTERNATIONAL_UNITS,
      scalesWithDryMatter: true,
      severalTests: 'mean',
      limits: {
        hay: { possible: [0, 500000000], likely: [0, 20000], source: TRACE_RANGES },
        ...ofOtherFeeds({
          silage: { possible: [0, 500000000], likely: [0, 20000] },
          grain: { possible: [0, 500000000], likely: [0, 20000] },
          protein: { possible: [0, 500000000], likely: [0, 20000] },
          mineral: { possible: [0, 500000000], likely: [0, 200000] },
        }),
      },
    },
    ration: { perKg: 1, unit: 'IU' },
    need: { kind: 'range', unit: 'IU/d', decimals: 0, tooMuch: 'tolerable share of dry matter' },
    ofDryMatter: {
      unit: 'IU/kg of DM',
      growing: 275,
      gestating: 275,
      lactating: 275,
      maximum: 10_000,
      note: 'Cattle in the sun make their own.',
      source: VITAMINS,
    },
  },
  vitaminE: {
    name: 'Vitamin E',
    group: 'vitamin',
    lab: {
      field: 'vitaminEIuPerKg',
      unit: 'IU/kg of DM',
      typedIn: INTERNATIONAL_UNITS,
      scalesWithDryMatter: true,
      severalTests: 'mean',
      limits: {
        hay: { possible: [0, 1000000], likely: [0, 500], source: TRACE_RANGES },
        ...ofOtherFeeds({
          silage: { possible: [0, 1000000], likely: [0, 500] },
          grain: { possible: [0, 1000000], likely: [0, 500] },
          protein: { possible: [0, 1000000], likely: [0, 500] },
          mineral: { possible: [0, 1000000], likely: [0, 5000] },
        }),
      },
    },
    ration: { perKg: 1, unit: 'IU' },
    need: { kind: 'minimum', unit: 'IU/d', decimals: 0 },
    ofDryMatter: {
      unit: 'IU/kg of DM',
      growing: 35,
      gestating: 35,
      lactating: 35,
      maximum: null,
      note: 'Newly received, stressed calves need 499 IU per kilogram.',
      source: VITAMINS,
    },
  },
} as const satisfies Record<string, NutrientRow>;
