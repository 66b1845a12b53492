export const WATER_CLASSES = ['growing', 'finishing', 'pregnant-cow', 'lactating-cow', 'bull'] as const;
export type WaterClass = (typeof WATER_CLASSES)[number];

/** Temperatures of the columns, °C (40, 50, 58, 70, 80 and 90 °F). */
export const WATER_TEMPERATURES_C = [4.4, 10, 14.4, 21.1, 26.6, 32.2] as const;

interface WaterRow {
  readonly class: WaterClass;
  readonly weightKg: number;
  /** L/d at each temperature. */
  readonly liters: readonly number[];
  readonly source: string;
}

const SOURCE = 'Winchester & Morris 1956, J. Anim. Sci. 15:722, as tabulated by NRC 2000, Table 7-2 (from memory)';

const FILLED =
  `${SOURCE}; the two hottest cells, empty there, from the table compiled from NRC 1996 and Winchester & Morris ` +
  'in BEEF magazine (12.4 and 17.6 gal, confirmed)';

/** Water drunk and eaten in feed, L/d. */
export const WATER_INTAKE: readonly WaterRow[] = [
  { class: 'growing', weightKg: 182, liters: [15.1, 16.3, 18.9, 22, 25.4, 36], source: SOURCE },
  { class: 'growing', weightKg: 273, liters: [20.1, 22, 25, 29.5, 33.7, 48.1], source: SOURCE },
  { class: 'growing', weightKg: 364, liters: [23, 25.7, 29.9, 34.8, 40.1, 56.8], source: SOURCE },
  { class: 'finishing', weightKg: 273, liters: [22.7, 24.6, 28, 32.9, 37.9, 54.1], source: SOURCE },
  { class: 'finishing', weightKg: 364, liters: [27.6, 29.9, 34.4, 40.5, 46.6, 65.9], source: SOURCE },
  { class: 'finishing', weightKg: 454, liters: [32.9, 35.6, 40.9, 47.7, 54.9, 78], source: SOURCE },
  { class: 'pregnant-cow', weightKg: 409, liters: [25.4, 27.3, 31.4, 36.7, 46.9, 66.6], source: FILLED },
  { class: 'pregnant-cow', weightKg: 500, liters: [22.7, 24.6, 28, 32.9, 46.9, 66.6], source: FILLED },
  { class: 'lactating-cow', weightKg: 409, liters: [43.1, 47.7, 54.9, 64, 67.8, 81], source: SOURCE },
  { class: 'bull', weightKg: 636, liters: [30.3, 32.6, 37.5, 44.3, 50.7, 71.9], source: SOURCE },
  { class: 'bull', weightKg: 727, liters: [32.9, 35.6, 40.9, 47.7, 54.9, 78], source: SOURCE },
];

/**
 * Water per kg of dry matter eaten, L, at or above a temperature, °C. The figure for a mean temperature above 27 °C
 * is the 1956 value at 32 °C. Source: Winchester & Morris 1956 for European breeds, as tabulated by the Agricultural
 * Research Council (from memory).
 */
export const WATER_PER_DRY_MATTER: readonly {
  readonly temperatureC: number;
  readonly litersPerKg: number;
  readonly source: string;
}[] = [
  { temperatureC: -17, litersPerKg: 3.5, source: 'Winchester & Morris 1956 (from memory)' },
  { temperatureC: 4.4, litersPerKg: 3.5, source: 'Winchester & Morris 1956 (from memory)' },
  { temperatureC: 10, litersPerKg: 3.6, source: 'Winchester & Morris 1956 (from memory)' },
  { temperatureC: 15, litersPerKg: 4.1, source: 'Winchester & Morris 1956 (from memory)' },
  { temperatureC: 21, litersPerKg: 4.7, source: 'Winchester & Morris 1956 (from memory)' },
  { temperatureC: 27, litersPerKg: 5.5, source: 'Winchester & Morris 1956 (from memory)' },
  { temperatureC: 32.2, litersPerKg: 7.8, source: 'Winchester & Morris 1956 (from memory)' },
];
/** What cattle drink for salt beyond the little that they need; the table above is of cattle fed salt as usual. */
export const WATER_FOR_SALT = {
  usualSaltGPerDay: {
    value: 28.35,
    source: 'Oklahoma State University Extension, ANSI-3008, Limiting feed intake with salt: less than 1 oz a day',
  },
  /** 5 gallons for each pound. */
  litersPerGramOfSalt: {
    value: 18.927 / 453.59,
    source:
      'Oklahoma State University Extension, ANSI-3008: 50 to 75 % more than normal, or about 5 gal of additional ' +
      'water for each pound of salt',
  },
  /** Less rounds to nothing in the answer and is not told, L a day; it is counted. */
  leastStated: { value: 0.5, source: 'common practice, no source' },
  /** Na in NaCl, by atomic weights. */
  sodiumShareOfSalt: { value: 22.99 / 58.44, source: 'atomic weights of sodium and chlorine' },
} as const;

/** Water that goes out in a kilogram of milk. Source: milk is about 87 % water (NRC 2000, from memory). */
export const WATER_PER_KG_MILK_L = 0.87;
