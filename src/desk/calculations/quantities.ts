import { z } from 'zod';
import { KG_PER_M3_PER_LB_PER_FT3, METRES_PER_FOOT } from '../../core/forage/bale.js';
import { celsiusFromFahrenheit, fahrenheitFromCelsius } from '../../core/requirements/cold.js';
import { LITRES_PER_GALLON } from '../../core/requirements/water-intake.data.js';
import { type Decimal, decimal, decimalFromFloat, decimalText } from '../../core/units/decimal.js';
import { MASS_UNITS, type Mass, type MassUnit } from '../../core/units/mass.js';
import { Money, PricePerMass } from '../../core/units/money.js';
import { problemOfCore } from '../../platform/http/core-problems.js';
import type { Problem } from '../../core/outcome/problem.js';
import {
  amountIn,
  currency,
  decimalIn,
  massIn,
  type MassIn,
  massInOrZero,
  massOut,
  massUnit,
  moneyOut,
  pricePerMassOut,
  toMass,
  type UnitSystem,
  writeMoney,
} from '../../platform/wire/quantity.schema.js';

export { massIn, type MassIn, massOut, moneyOut, pricePerMassOut, toMass, writeMoney };

const MASS_PLACES = 6;
const PRICE_PLACES = 6;
/** Prices beyond this are a slip of the unit. */
const PRICE_MAX = 1e9;

// What comes in. Quantities that the ledger keeps are decimals; what only the equations use are plain numbers.

export const moneyIn = z
  .strictObject({
    amount: amountIn.refine((value) => !value.startsWith('-'), 'must be 0 or more'),
    currency: currency.default('USD'),
  })
  .meta({ id: 'MoneyInput', description: 'An amount of money, 0 or more; in USD if no currency is named' });
export type MoneyIn = z.output<typeof moneyIn>;
export const toMoney = ({ amount, currency: code }: MoneyIn): Money => Money.of(amount, code);

export const priceIn = z
  .strictObject({
    amount: decimalIn.refine(
      (value) => !value.startsWith('-') && decimal(value).lte(PRICE_MAX),
      'must be from 0 to 1,000,000,000',
    ),
    currency: currency.default('USD'),
    per: massUnit,
  })
  .meta({ id: 'PricePerMassInput', description: 'Money per unit of mass; in USD if no currency is named' });
export type PriceIn = z.output<typeof priceIn>;
export const toPrice = ({ amount, currency: code, per }: PriceIn): PricePerMass => PricePerMass.of(amount, code, per);

export const percent = (what: string, { from = 0, to = 100 }: { from?: number; to?: number } = {}) =>
  z.number().min(from).max(to).describe(`${what}, %`);
/** A share of the whole that can be lost: all of it is too much. */
export const lossPercent = (what: string) => z.number().min(0).lt(100).describe(`${what}, %`);
export const dryMatterPercent = z.number().gt(0).max(100).describe('Dry matter, % of the weight as fed');

/** Per cent as an exact share: money must not pick up the dust of floats. */
export const share = (percentage: number): Decimal => decimalFromFloat(percentage, 12).div(100);
export const percentOf = (value: Decimal): number => value.times(100).toNumber();

export const energyUnit = z.enum(['Mcal/kg', 'Mcal/lb']).describe('Megacalories in a kilogram or pound of dry matter');
const energyInput = z
  .strictObject({ value: z.number().min(-3).max(6).describe('The figure, in the unit beside it'), unit: energyUnit })
  .meta({ id: 'EnergyInput', description: 'Energy in the dry matter of a feed, with its unit' });
export const energyIn = (what: string) => energyInput.describe(what);
const POUND_KG = Number(MASS_UNITS.lb.kilograms);
export const toMcalPerKg = ({ value, unit }: { value: number; unit: 'Mcal/kg' | 'Mcal/lb' }): number =>
  unit === 'Mcal/kg' ? value : value / POUND_KG;

export const temperatureIn = z
  .strictObject({
    value: z.number().min(-100).max(600).describe('The figure, in the unit beside it'),
    unit: z.enum(['C', 'F']).describe('Degrees Celsius or Fahrenheit'),
  })
  .meta({ id: 'TemperatureInput', description: 'A temperature with its unit' });
type TemperatureIn = z.output<typeof temperatureIn>;
export const toCelsius = ({ value, unit }: TemperatureIn): number =>
  unit === 'C' ? value : celsiusFromFahrenheit({ fahrenheit: value }).celsius;
export const toFahrenheit = ({ value, unit }: TemperatureIn): number =>
  unit === 'F' ? value : fahrenheitFromCelsius({ celsius: value }).fahrenheit;
export const temperatureOut = z
  .object({
    value: z.number().describe('The figure, in the unit beside it'),
    unit: z.enum(['C', 'F']).describe('Degrees Celsius or Fahrenheit'),
  })
  .meta({ id: 'CalculatedTemperature', description: 'A temperature with its unit' });
export const writeTemperature = (celsius: number, unit: 'C' | 'F'): z.input<typeof temperatureOut> => ({
  value: tidy(unit === 'C' ? celsius : fahrenheitFromCelsius({ celsius }).fahrenheit),
  unit,
});

const KM_PER_MILE = 1.609344;
export const windIn = z
  .strictObject({
    value: z.number().min(0).max(300).describe('The figure, in the unit beside it'),
    unit: z.enum(['mph', 'km/h']).describe('Miles or kilometres per hour'),
  })
  .meta({ id: 'WindSpeedInput', description: 'A wind speed with its unit' });
export const toKmPerHour = ({ value, unit }: z.output<typeof windIn>): number =>
  unit === 'km/h' ? value : value * KM_PER_MILE;
export const toMph = ({ value, unit }: z.output<typeof windIn>): number =>
  unit === 'mph' ? value : value / KM_PER_MILE;

const METRES = { ft: METRES_PER_FOOT, in: METRES_PER_FOOT / 12, m: 1, cm: 0.01 } as const;
const lengthInput = z
  .strictObject({
    value: z.number().gt(0).max(100_000).describe('The figure, in the unit beside it'),
    unit: z.enum(['ft', 'in', 'm', 'cm']).describe('Feet, inches, metres or centimetres'),
  })
  .meta({ id: 'LengthInput', description: 'A length with its unit' });
export const lengthIn = (what: string) => lengthInput.describe(`${what}, with its unit`);
export const toMetres = ({ value, unit }: { value: number; unit: keyof typeof METRES }): number => value * METRES[unit];

export const densityUnit = z.enum(['lb/ft3', 'kg/m3']).describe('Pounds per cubic foot or kilograms per cubic metre');
export const densityIn = z
  .strictObject({ value: z.number().gt(0).max(2000).describe('The figure, in the unit beside it'), unit: densityUnit })
  .meta({
    id: 'BulkDensityInput',
    description: 'Weight of hay as it lies, as fed, in a measured volume, with its unit',
  });
export const toKgPerM3 = ({ value, unit }: z.output<typeof densityIn>): number =>
  unit === 'kg/m3' ? value : value * KG_PER_M3_PER_LB_PER_FT3;
export const densityOut = z
  .object({ value: z.number().describe('The figure, in the unit beside it'), unit: densityUnit })
  .meta({ id: 'CalculatedBulkDensity', description: 'A bulk density with its unit' });
export const writeDensity = (kgPerM3: number, unit: z.output<typeof densityUnit>): z.input<typeof densityOut> => ({
  value: tidy(unit === 'kg/m3' ? kgPerM3 : kgPerM3 / KG_PER_M3_PER_LB_PER_FT3),
  unit,
});

const M3_PER_FT3 = METRES_PER_FOOT ** 3;
export const volumeOut = z
  .object({
    value: z.number().describe('The figure, in the unit beside it'),
    unit: z.enum(['ft3', 'm3']).describe('Cubic feet or metres'),
  })
  .meta({ id: 'CalculatedVolume', description: 'A volume with its unit' });
export const writeVolume = (m3: number, unit: 'ft3' | 'm3'): z.input<typeof volumeOut> => ({
  value: tidy(unit === 'm3' ? m3 : m3 / M3_PER_FT3),
  unit,
});
export const volumeIn = z
  .strictObject({
    value: z.number().gt(0).max(1e6).describe('The figure, in the unit beside it'),
    unit: z.enum(['ft3', 'm3']).describe('Cubic feet or metres'),
  })
  .meta({ id: 'VolumeInput', description: 'A volume with its unit' });
export const toM3 = ({ value, unit }: z.output<typeof volumeIn>): number =>
  unit === 'm3' ? value : value * M3_PER_FT3;

export const waterVolumeIn = (what: string, most = 10_000) =>
  z
    .strictObject({
      value: z.number().min(0).max(most).describe('The figure, in the unit beside it'),
      unit: z.enum(['gal', 'L']).describe('US gallons or litres'),
    })
    .describe(`${what}; US gallons or litres`);
export const toLitres = ({ value, unit }: { value: number; unit: 'gal' | 'L' }): number =>
  unit === 'L' ? value : value * LITRES_PER_GALLON;

// What goes out.

/** Twelve digits: all that a double is good for after a few sums, and no dust behind them. */
export function tidy(value: number): number {
  return Number.isFinite(value) ? Number(value.toPrecision(12)) : value;
}
export const tidyOrNull = (value: number | null | undefined): number | null =>
  value === null || value === undefined ? null : tidy(value);

export const writeMass = (mass: Mass, unit: MassUnit): z.input<typeof massOut> => ({
  value: decimalText(mass.in(unit).toDecimalPlaces(MASS_PLACES)),
  unit,
});
export const writePrice = (price: PricePerMass, per: MassUnit): z.input<typeof pricePerMassOut> => ({
  amount: decimalText(price.in(per).toDecimalPlaces(PRICE_PLACES)),
  currency: price.currency,
  per,
});
export const writeDecimal = (value: Decimal, places = 6): string => decimalText(value.toDecimalPlaces(places));
export const massInOrZeroOf = (what: string) => massInOrZero.describe(what);
export const kilograms = (mass: MassIn): number => toMass(mass).kilograms.toNumber();

/** A mass unit of the same system for animals: nobody weighs a calf in tons. */
export const systemOf = (unit: MassUnit): UnitSystem =>
  unit === 'lb' || unit === 'ton' || unit === 'oz' ? 'us' : 'metric';
export const smallUnit = (unit: MassUnit): MassUnit => (systemOf(unit) === 'us' ? 'lb' : 'kg');
export const largeUnit = (unit: MassUnit): MassUnit => (systemOf(unit) === 'us' ? 'ton' : 't');

/** Units of the equations, and in which unit a reader of either system sees them. */
const TOLD = {
  'Mcal/d': { us: ['Mcal/d', 1], metric: ['Mcal/d', 1] },
  Mcal: { us: ['Mcal', 1], metric: ['Mcal', 1] },
  'g/d': { us: ['g/d', 1], metric: ['g/d', 1] },
  g: { us: ['g', 1], metric: ['g', 1] },
  '%': { us: ['%', 1], metric: ['%', 1] },
  d: { us: ['d', 1], metric: ['d', 1] },
  'kg/d': { us: ['lb/d', 1 / POUND_KG], metric: ['kg/d', 1] },
  kg: { us: ['lb', 1 / POUND_KG], metric: ['kg', 1] },
  'L/d': { us: ['gal/d', 1 / LITRES_PER_GALLON], metric: ['L/d', 1] },
  'Mcal/kg': { us: ['Mcal/lb', POUND_KG], metric: ['Mcal/kg', 1] },
} as const satisfies Record<string, Record<UnitSystem, readonly [unit: string, factor: number]>>;
export type FigureUnit = keyof typeof TOLD;

export const figureOut = z
  .object({
    value: z.number().describe('The figure, in the unit beside it'),
    unit: z.string().describe('Its unit, written out: Mcal/d, lb/d, g/d and so on'),
  })
  .meta({ id: 'CalculatedFigure', description: 'A calculated figure with its unit' });
export const figure = (value: number, unit: FigureUnit, system: UnitSystem): z.input<typeof figureOut> => {
  const [told, factor] = TOLD[unit][system];
  return { value: tidy(value * factor), unit: told };
};
export const figureOrNull = (
  value: number | null,
  unit: FigureUnit,
  system: UnitSystem,
): z.input<typeof figureOut> | null => (value === null ? null : figure(value, unit, system));
const dailyGainInput = z
  .strictObject({
    value: z.number().min(-20).max(20).describe('The figure, in the unit beside it; a loss is below zero'),
    unit: z.enum(['lb', 'kg']).describe('Pounds or kilograms per head per day'),
  })
  .meta({ id: 'DailyGainInput', description: 'Live weight gained per head per day, with its unit' });
export const gainIn = (what: string) => dailyGainInput.describe(`${what}, per head per day`);
export const toKgPerDay = ({ value, unit }: { value: number; unit: 'lb' | 'kg' }): number =>
  unit === 'kg' ? value : value * POUND_KG;

// Between zod and the core.

type Present<T> = { [K in keyof T as undefined extends T[K] ? never : K]: T[K] } & {
  [K in keyof T as undefined extends T[K] ? K : never]?: Exclude<T[K], undefined>;
};
/** What was left out is absent, not undefined. */
export function present<T extends object>(given: T): Present<T> {
  return Object.fromEntries(Object.entries(given).filter(([, value]) => value !== undefined)) as Present<T>;
}

/** How the body spells a field of the core: names that differ, or a function of the whole field. */
export type Spelling = Readonly<Record<string, string>> | ((field: string) => string);
/** The core's fields stand in an object of the body. */
export const under =
  (name: string, names: Readonly<Record<string, string>> = {}): Spelling =>
  (field) =>
    `${name}${stepsOf(field, names)}`;

/** Turns a refusal of the core into the problem that is answered. */
export function accepted<Answer extends { readonly ok: boolean }>(
  answer: Answer,
  spelling: Spelling = {},
): Extract<Answer, { readonly ok: true }> {
  if (answer.ok) return answer as Extract<Answer, { readonly ok: true }>;
  const { problems } = answer as unknown as { readonly problems: readonly Problem[] };
  throw problemOfCore(problems, (field) => pointerOf(field, spelling));
}

function pointerOf(field: string, spelling: Spelling): string {
  if (typeof spelling === 'function') return `#/${spelling(field)}`;
  const whole = spelling[field];
  return whole === undefined ? `#${stepsOf(field, spelling)}` : `#/${whole}`;
}

/** `lots[0].seasonLoss` of the core is `/lots/0/seasonLossPercent` in the body. */
function stepsOf(field: string, names: Readonly<Record<string, string>>): string {
  const steps = field
    .replaceAll(/\[(\d+)\]/g, '.$1')
    .split('.')
    .filter((step) => step !== '');
  return steps.map((step) => `/${names[step] ?? step}`).join('');
}

export const warningOut = z
  .object({
    code: z.string().describe('Stable code'),
    message: z.string().describe('In a sentence'),
    source: z.string().describe('Where the threshold comes from').nullable(),
  })
  .meta({ id: 'CalculationWarning', description: 'Something to know about the answer' });
export const warnings = z.array(warningOut).describe('What to know about the answer; empty if nothing');
export const noted = ({
  code,
  message,
  source,
}: {
  code: string;
  message: string;
  source?: string;
}): z.input<typeof warningOut> => ({ code, message, source: source ?? null });
