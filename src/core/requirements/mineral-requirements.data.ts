/** Minerals asked for as a share of the dry matter eaten. */
export const SHARE_MINERALS = ['magnesium', 'potassium', 'sulfur', 'sodium'] as const;
export type ShareMineral = (typeof SHARE_MINERALS)[number];

export const MINERAL_STAGES = ['growing', 'gestating', 'lactating'] as const;
export type MineralStage = (typeof MINERAL_STAGES)[number];

export interface MineralRow {
  readonly mineral: ShareMineral | 'copper' | 'manganese' | 'zinc' | 'selenium' | 'iodine' | 'cobalt' | 'iron';
  readonly unit: '% of DM' | 'mg/kg of DM';
  readonly growing: number;
  readonly gestating: number;
  readonly lactating: number;
  /** Highest tolerable concentration in the same unit; `null` where the source has none. */
  readonly maximum: number | null;
  readonly note: string;
  readonly source: string;
}

const MP391 = 'Gadberry, University of Arkansas MP391, Table 1, after NRC 1996 Table 5-1';

/** Requirement by stage (early lactation stands for all lactation) and tolerable maximum. */
export const MINERAL_REQUIREMENTS: readonly MineralRow[] = [
  {
    mineral: 'magnesium',
    unit: '% of DM',
    growing: 0.1,
    gestating: 0.12,
    lactating: 0.2,
    maximum: 0.4,
    note: '',
    source: MP391,
  },
  {
    mineral: 'potassium',
    unit: '% of DM',
    growing: 0.6,
    gestating: 0.6,
    lactating: 0.7,
    maximum: 3,
    note: '',
    source: MP391,
  },
  {
    mineral: 'sulfur',
    unit: '% of DM',
    growing: 0.15,
    gestating: 0.15,
    lactating: 0.15,
    maximum: 0.4,
    note: 'Later guides: at most 0.30 % under 15 % forage, 0.50 % over 40 % forage (National Academy 2005).',
    source: MP391,
  },
  {
    mineral: 'sodium',
    unit: '% of DM',
    growing: 0.08,
    gestating: 0.08,
    lactating: 0.1,
    maximum: null,
    note: 'Printed as 0.06 to 0.08 for growing and gestating cattle; the upper end is used.',
    source: MP391,
  },
  {
    mineral: 'copper',
    unit: 'mg/kg of DM',
    growing: 10,
    gestating: 10,
    lactating: 10,
    maximum: 100,
    note: '',
    source: MP391,
  },
  {
    mineral: 'manganese',
    unit: 'mg/kg of DM',
    growing: 20,
    gestating: 40,
    lactating: 40,
    maximum: 1000,
    note: '',
    source: MP391,
  },
  {
    mineral: 'zinc',
    unit: 'mg/kg of DM',
    growing: 30,
    gestating: 30,
    lactating: 30,
    maximum: 500,
    note: '',
    source: MP391,
  },
  {
    mineral: 'selenium',
    unit: 'mg/kg of DM',
    growing: 0.1,
    gestating: 0.1,
    lactating: 0.1,
    maximum: 2,
    note: '',
    source: MP391,
  },
  {
    mineral: 'iodine',
    unit: 'mg/kg of DM',
    growing: 0.5,
    gestating: 0.5,
    lactating: 0.5,
    maximum: 50,
    note: '',
    source: MP391,
  },
  {
    mineral: 'cobalt',
    unit: 'mg/kg of DM',
    growing: 0.1,
    gestating: 0.1,
    lactating: 0.1,
    maximum: 10,
    note: '',
    source: MP391,
  },
  {
    mineral: 'iron',
    unit: 'mg/kg of DM',
    growing: 50,
    gestating: 50,
    lactating: 50,
    maximum: 1000,
    note: '',
    source: MP391,
  },
];
