import { sizeOf, unitsOf } from '../units/unit.js';
import type { NutrientRow } from './nutrient-row.js';

const RANGE_OF_HAYS = 'range of hays and straws in NRC 2000 feed tables, widened (from memory)';
const PRACTICE = 'common practice, no source';
const MP391 = 'Gadberry, University of Arkansas MP391, Table 1, after NRC 1996 Table 5-1';

/** Their factors to Mcal per kilogram of dry matter. */
const ENERGY_UNITS: Readonly<Record<string, number>> = Object.fromEntries(
  unitsOf('energy content').map((unit) => [unit, sizeOf(unit).toNumber()]),
);
/** Nitrate is reported as the ion or as its nitrogen; the unit says which. Source: IUPAC atomic masses of N and O. */
const NITROGEN_MASS = 14.0067;
const NITRATE_MASS = 62.0049;

/**
 * Every nutrient the house knows, in the order of a lab report. From these rows come the fields of an analysis, the
 * limits of a lab test, the sums of a ration, the lines it is judged by, the minerals of the least-cost ration, the
 * schemas of the API and the columns of an import. A new nutrient is a row here, the equation of its need where it has
 * one of its own, and a test.
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
      limits: { hay: { possible: [0, 40], likely: [2, 30], source: RANGE_OF_HAYS } },
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
      limits: { hay: { possible: [0, 100], likely: [20, 95], source: RANGE_OF_HAYS } },
    },
    ration: { shareOf: 'crudeProtein', unit: 'g' },
    need: { kind: 'minimum', unit: 'g/d', decimals: 1 },
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
      limits: { hay: { possible: [0, 100], likely: [18, 60], source: RANGE_OF_HAYS } },
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
      limits: { hay: { possible: [0, 100], likely: [25, 85], source: RANGE_OF_HAYS } },
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
      limits: { hay: { possible: [0, 100], likely: [22, 84], source: RANGE_OF_HAYS } },
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
      limits: { hay: { possible: [0, 50], likely: [2, 18], source: RANGE_OF_HAYS } },
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
      limits: { hay: { possible: [0, 100], likely: [20, 80], source: PRACTICE } },
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
      limits: { hay: { possible: [0, 100], likely: [5, 45], source: PRACTICE } },
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
      limits: { hay: { possible: [0, 30], likely: [0.5, 6], source: RANGE_OF_HAYS } },
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
      limits: { hay: { possible: [0, 100], likely: [35, 75], source: RANGE_OF_HAYS } },
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
      severalTests: 'mean',
      limits: { hay: { possible: [0, 15], likely: [0.1, 2.5], source: RANGE_OF_HAYS } },
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
      severalTests: 'mean',
      limits: { hay: { possible: [0, 5], likely: [0.03, 0.6], source: RANGE_OF_HAYS } },
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
      severalTests: 'mean',
      limits: { hay: { possible: [0, 5], likely: [0.05, 0.8], source: RANGE_OF_HAYS } },
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
      severalTests: 'mean',
      limits: { hay: { possible: [0, 12], likely: [0.3, 5], source: RANGE_OF_HAYS } },
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
      severalTests: 'mean',
      limits: { hay: { possible: [0, 5], likely: [0.03, 0.7], source: RANGE_OF_HAYS } },
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
      typedIn: { '%': 1 },
      scalesWithDryMatter: true,
      weakByNearInfrared: true,
      severalTests: 'mean',
      limits: { hay: { possible: [0, 10], likely: [0, 1.5], source: RANGE_OF_HAYS } },
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
          source: 'Rohweder, Barnes & Jorgensen 1978 at the likely fibres',
        },
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
      limits: { hay: { possible: [1, 600], likely: [40, 280], source: PRACTICE } },
    },
  },
  // Judged, but no laboratory reports them.
  metabolizableProtein: {
    name: 'Metabolizable protein',
    group: 'protein',
    need: { kind: 'minimum', unit: 'g/d', decimals: 1 },
  },
  fiberCapacity: {
    name: 'Fibre that the animal can hold',
    group: 'structure',
    need: { kind: 'maximum', unit: 'kg/d', decimals: 1 },
  },
  longStemForage: {
    name: 'Long-stem forage',
    group: 'structure',
    need: { kind: 'minimum', unit: 'kg/d', decimals: 1 },
  },
  // Asked for by the requirement tables; no laboratory value of them is taken yet.
  copper: {
    name: 'Copper',
    group: 'trace mineral',
    ofDryMatter: {
      unit: 'mg/kg of DM',
      growing: 10,
      gestating: 10,
      lactating: 10,
      maximum: 100,
      note: '',
      source: MP391,
    },
  },
  manganese: {
    name: 'Manganese',
    group: 'trace mineral',
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
    ofDryMatter: {
      unit: 'mg/kg of DM',
      growing: 50,
      gestating: 50,
      lactating: 50,
      maximum: 1000,
      note: '',
      source: MP391,
    },
  },
} as const satisfies Record<string, NutrientRow>;
