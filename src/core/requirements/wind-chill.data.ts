import type { CoatCondition } from './requirement-set.js';

/** Wind speeds of the table's rows, miles per hour. */
export const WIND_CHILL_SPEEDS_MPH = [0, 5, 10, 15, 20, 25, 30, 35, 40] as const;
/** Air temperatures of the table's columns, °F. */
export const WIND_CHILL_TEMPERATURES_F = [-10, -5, 0, 5, 10, 15, 20, 25, 30, 35, 40, 45, 50] as const;
/**
 * Temperature that cattle feel, °F, by wind (rows) and air temperature (columns). Source: Ames & Insley 1975, J.
 * Anim. Sci. 40:161, as tabulated in North American extension publications. Read in a page: 5, 10, 20 and 30 mph at
 * -10, 0, 10, 20 and 30 °F (South Dakota State, Table 1), 5 mph at 15 °F (its example), 20 mph at 25 °F (North
 * Dakota State). From farm papers: 25 mph takes 27 °F off, and 40 mph takes 48 °F more off than 20 mph. The other
 * cells are from memory. 30 mph at 10 °F is -27 as printed, though the cells around it would make it -26. It is a
 * table for haired cattle, not the human index.
 */
export const WIND_CHILL_TABLE_F: readonly (readonly number[])[] = [
  [-10, -5, 0, 5, 10, 15, 20, 25, 30, 35, 40, 45, 50],
  [-16, -11, -6, -1, 3, 8, 13, 18, 23, 28, 33, 38, 43],
  [-21, -16, -11, -6, -1, 3, 8, 13, 18, 23, 28, 33, 38],
  [-25, -20, -15, -10, -5, 0, 4, 9, 14, 19, 24, 29, 34],
  [-30, -25, -20, -15, -10, -5, 0, 4, 9, 14, 19, 24, 29],
  [-37, -32, -27, -22, -17, -12, -7, -2, 2, 7, 12, 17, 22],
  [-46, -41, -36, -31, -27, -21, -16, -11, -6, -1, 3, 8, 13],
  [-60, -55, -50, -45, -40, -35, -30, -25, -20, -15, -10, -5, 0],
  [-78, -73, -68, -63, -58, -53, -48, -43, -38, -33, -28, -23, -18],
];

export const COAT_DESCRIPTIONS = ['wet-or-summer', 'dry-autumn', 'dry-winter', 'dry-heavy-winter'] as const;
export type CoatDescription = (typeof COAT_DESCRIPTIONS)[number];

/** Lower critical temperatures of beef cows by coat, °F. */
export const LOWER_CRITICAL_TEMPERATURES_F: readonly {
  readonly coat: CoatDescription;
  readonly temperatureF: number;
  readonly source: string;
  readonly others: string;
}[] = [
  {
    coat: 'wet-or-summer',
    temperatureF: 59,
    source: 'South Dakota State University Extension, after Ames (Kansas State)',
    others: 'Illinois 59; Nebraska 53 in score 5',
  },
  {
    coat: 'dry-autumn',
    temperatureF: 45,
    source: 'South Dakota State University Extension, after Ames (Kansas State)',
    others: '',
  },
  {
    coat: 'dry-winter',
    temperatureF: 32,
    source: 'South Dakota State University Extension, after Ames (Kansas State)',
    others: 'Illinois 32',
  },
  {
    coat: 'dry-heavy-winter',
    temperatureF: 18,
    source: 'South Dakota State University Extension, after Ames (Kansas State)',
    others: 'Illinois 19; Nebraska 19 in score 5, 27 in score 4',
  },
];

/** Extra energy per °F below the lower critical temperature. Guides differ on the wet coat; the choice is data. */
export const COLD_RULES: readonly {
  readonly key: 'one-per-cent' | 'two-per-cent-when-wet';
  readonly dryPercentPerF: number;
  readonly wetPercentPerF: number;
  readonly source: string;
}[] = [
  {
    key: 'one-per-cent',
    dryPercentPerF: 1,
    wetPercentPerF: 1,
    source: 'South Dakota State University Extension; North Dakota State University Extension',
  },
  { key: 'two-per-cent-when-wet', dryPercentPerF: 1, wetPercentPerF: 2, source: 'Oklahoma State University Extension' },
];

/** Share of external insulation that a dirty or wet coat keeps. Source: NRC 2000, cold stress (from memory). */
export const COAT_INSULATION_FACTORS: Readonly<Record<CoatCondition, number>> = {
  'clean-and-dry': 1,
  'some-mud-on-lower-body': 0.8,
  'wet-and-matted': 0.5,
  'covered-with-wet-snow-or-mud': 0.2,
};

/** Factor of external insulation by hide. Source: NRC 2000, cold stress (from memory). */
export const HIDE_INSULATION_FACTORS = { thin: 0.8, average: 1, thick: 1.2 } as const;
