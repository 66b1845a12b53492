/** The system of units that a unit belongs to; answers use the units of one system. */
export const UNIT_SYSTEMS = ['us', 'metric'] as const;
export type UnitSystem = (typeof UNIT_SYSTEMS)[number];

/** What can be measured, and the unit in which the core computes it. */
export const DIMENSIONS = {
  mass: 'kg',
  length: 'm',
  volume: 'L',
  flow: 'L/min',
  density: 'kg/m3',
  temperature: 'C',
  speed: 'km/h',
  energy: 'Mcal',
  'energy content': 'Mcal/kg',
  concentration: 'ppm',
} as const;
export type Dimension = keyof typeof DIMENSIONS;

/** A head or a bale is small, a lot or a season is large; a tank is small, a stack is large. */
export type UnitSize = 'small' | 'large';

/**
 * One unit. Its size is exact, as decimal text: `of` base units make one of it (a pound is 0.45359237 kg), or `per` of
 * it make one base unit (1.8 °F is 1 °C), or, where neither ends, `of` divided by `per`. `zeroAt` is what it reads
 * where the base unit reads zero.
 */
export interface UnitRow {
  readonly dimension: Dimension;
  /** The system that uses it; absent where both do. */
  readonly system?: UnitSystem;
  readonly size?: UnitSize;
  /** Answers in this system show this size of this dimension in this unit. */
  readonly shown?: true;
  readonly name: string;
  readonly plural: string;
  /** What a reader may need to know beside the code. */
  readonly explained?: string;
  readonly of?: string;
  readonly per?: string;
  readonly zeroAt?: string;
  /** Unified Code for Units of Measure. */
  readonly ucum?: string;
  /** UN/CEFACT Recommendation 20. */
  readonly uncefact?: string;
}

/**
 * Every unit that a person may type or an answer may show; what takes a unit in a request lists them in this order.
 * Sizes: the international yard and pound agreement of 1959 (NIST Handbook 44, appendix C: 1 lb = 0.45359237 kg and
 * 1 ft = 0.3048 m exactly, 1 short ton = 2000 lb, 1 oz = 1/16 lb, 1 US gallon = 231 cubic inches, 1 mile = 5280 ft).
 */
export const UNITS = {
  kg: {
    dimension: 'mass',
    system: 'metric',
    size: 'small',
    shown: true,
    name: 'kilogram',
    plural: 'kilograms',
    of: '1',
    ucum: 'kg',
    uncefact: 'KGM',
  },
  g: { dimension: 'mass', system: 'metric', name: 'gram', plural: 'grams', of: '0.001', ucum: 'g', uncefact: 'GRM' },
  t: {
    dimension: 'mass',
    system: 'metric',
    size: 'large',
    shown: true,
    name: 'metric ton',
    plural: 'metric tons',
    explained: 'metric ton',
    of: '1000',
    ucum: 't',
    uncefact: 'TNE',
  },
  lb: {
    dimension: 'mass',
    system: 'us',
    size: 'small',
    shown: true,
    name: 'pound',
    plural: 'pounds',
    of: '0.45359237',
    ucum: '[lb_av]',
    uncefact: 'LBR',
  },
  oz: {
    dimension: 'mass',
    system: 'us',
    name: 'ounce',
    plural: 'ounces',
    of: '0.028349523125',
    ucum: '[oz_av]',
    uncefact: 'ONZ',
  },
  ton: {
    dimension: 'mass',
    system: 'us',
    size: 'large',
    shown: true,
    name: 'short ton',
    plural: 'short tons',
    explained: 'US short ton of 2,000 lb',
    of: '907.18474',
    ucum: '[ston_av]',
    uncefact: 'STN',
  },

  ft: { dimension: 'length', system: 'us', size: 'large', shown: true, name: 'foot', plural: 'feet', of: '0.3048' },
  in: { dimension: 'length', system: 'us', size: 'small', shown: true, name: 'inch', plural: 'inches', of: '0.0254' },
  m: { dimension: 'length', system: 'metric', size: 'large', shown: true, name: 'meter', plural: 'meters', of: '1' },
  cm: {
    dimension: 'length',
    system: 'metric',
    size: 'small',
    shown: true,
    name: 'centimeter',
    plural: 'centimeters',
    of: '0.01',
  },

  gal: {
    dimension: 'volume',
    system: 'us',
    size: 'small',
    shown: true,
    name: 'US gallon',
    plural: 'US gallons',
    of: '3.785411784',
  },
  L: { dimension: 'volume', system: 'metric', size: 'small', shown: true, name: 'liter', plural: 'liters', of: '1' },
  ft3: {
    dimension: 'volume',
    system: 'us',
    size: 'large',
    shown: true,
    name: 'cubic foot',
    plural: 'cubic feet',
    of: '28.316846592',
  },
  m3: {
    dimension: 'volume',
    system: 'metric',
    size: 'large',
    shown: true,
    name: 'cubic meter',
    plural: 'cubic meters',
    of: '1000',
  },

  'gal/min': {
    dimension: 'flow',
    system: 'us',
    shown: true,
    name: 'US gallon per minute',
    plural: 'US gallons per minute',
    of: '3.785411784',
  },
  'L/min': {
    dimension: 'flow',
    system: 'metric',
    shown: true,
    name: 'liter per minute',
    plural: 'liters per minute',
    of: '1',
  },

  'lb/ft3': {
    dimension: 'density',
    system: 'us',
    shown: true,
    name: 'pound per cubic foot',
    plural: 'pounds per cubic foot',
    of: '0.45359237',
    per: '0.028316846592',
  },
  'kg/m3': {
    dimension: 'density',
    system: 'metric',
    shown: true,
    name: 'kilogram per cubic meter',
    plural: 'kilograms per cubic meter',
    of: '1',
  },

  F: {
    dimension: 'temperature',
    system: 'us',
    shown: true,
    name: 'degree Fahrenheit',
    plural: 'degrees Fahrenheit',
    per: '1.8',
    zeroAt: '32',
  },
  C: {
    dimension: 'temperature',
    system: 'metric',
    shown: true,
    name: 'degree Celsius',
    plural: 'degrees Celsius',
    of: '1',
  },

  mph: {
    dimension: 'speed',
    system: 'us',
    shown: true,
    name: 'mile per hour',
    plural: 'miles per hour',
    of: '1.609344',
  },
  'km/h': {
    dimension: 'speed',
    system: 'metric',
    shown: true,
    name: 'kilometer per hour',
    plural: 'kilometers per hour',
    of: '1',
  },

  Mcal: { dimension: 'energy', name: 'megacalorie', plural: 'megacalories', of: '1' },

  'Mcal/kg': {
    dimension: 'energy content',
    system: 'metric',
    size: 'small',
    shown: true,
    name: 'megacalorie per kilogram',
    plural: 'megacalories per kilogram',
    of: '1',
  },
  'Mcal/lb': {
    dimension: 'energy content',
    system: 'us',
    size: 'small',
    shown: true,
    name: 'megacalorie per pound',
    plural: 'megacalories per pound',
    per: '0.45359237',
  },
  'Mcal/cwt': {
    dimension: 'energy content',
    system: 'us',
    size: 'large',
    name: 'megacalorie per hundredweight',
    plural: 'megacalories per hundredweight',
    explained: 'hundredweight of 100 lb',
    per: '45.359237',
  },

  ppm: { dimension: 'concentration', name: 'part per million', plural: 'parts per million', of: '1' },
  '%': { dimension: 'concentration', name: 'percent', plural: 'percent', of: '10000' },
} as const satisfies Record<string, UnitRow>;
