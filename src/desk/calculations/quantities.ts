import { z } from 'zod';
import { type Decimal, decimal, decimalFromFloat, decimalText } from '../../core/units/decimal.js';
import type { Mass, MassUnit } from '../../core/units/mass.js';
import { Money, PricePerMass } from '../../core/units/money.js';
import {
  convert,
  type Dimension,
  fromBaseUnit,
  shownUnit,
  systemOf,
  toBaseUnit,
  type UnitOf,
} from '../../core/units/unit.js';
import { figureIn } from '../../core/units/wording.js';
import { WEATHER_LIMITS } from '../../core/requirements/animal-limits.data.js';
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
  formatMoney,
} from '../../platform/wire/quantity.schema.js';
import { unitOf } from '../../platform/wire/unit.schema.js';
import { within } from '../../platform/wire/within.schema.js';

export { massIn, type MassIn, massOut, moneyOut, pricePerMassOut, toMass, formatMoney };

const MASS_PLACES = 6;
const PRICE_PLACES = 6;
/** A price above this means a wrong unit. */
const PRICE_MAX = 1e9;

// What comes in. Quantities that the ledger keeps are decimals; what only the equations use are plain numbers.

export const moneyIn = z
  .strictObject({
    amount: amountIn.refine((value) => !value.startsWith('-'), 'must be 0 or more'),
    currency: currency.default('USD'),
  })
  .meta({ id: 'MoneyInput', description: 'An amount of money, 0 or more; in USD if no currency is named' });
type MoneyIn = z.output<typeof moneyIn>;
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

/** A plain figure as it was typed, with its unit. */
interface Typed<Of extends Dimension> {
  readonly value: number;
  readonly unit: UnitOf<Of>;
}

export const percent = (what: string, { from = 0, to = 100 }: { from?: number; to?: number } = {}) =>
  z.number().min(from).max(to).describe(`${what}, in percent (%)`);
/** A share of the whole that can be lost: all of it is too much. */
export const lossPercent = (what: string) => z.number().min(0).lt(100).describe(`${what}, %`);
export const dryMatterPercent = z.number().gt(0).max(100).describe('Dry matter, % of the weight as fed');

/** Percent as an exact share: money must not pick up rounding errors of floats. */
export const share = (percentage: number): Decimal => decimalFromFloat(percentage, 12).div(100);
export const percentOf = (value: Decimal): number => value.times(100).toNumber();

export const energyUnit = unitOf('energy content', 'small').describe(
  'Megacalories in a kilogram or pound of dry matter',
);
const energyInput = z
  .strictObject({ value: z.number().min(-3).max(6).describe('The figure, in the unit beside it'), unit: energyUnit })
  .meta({ id: 'EnergyInput', description: 'Energy in the dry matter of a feed, with its unit' });
export const energyIn = (what: string) => energyInput.describe(what);
export const toMcalPerKg = ({ value, unit }: Typed<'energy content'>): number => toBaseUnit(value, unit);

const temperatureUnit = unitOf('temperature');
export const temperatureIn = z
  .strictObject({
    value: z.number().min(-100).max(600).describe('The figure, in the unit beside it'),
    unit: temperatureUnit,
  })
  .meta({ id: 'TemperatureInput', description: 'A temperature with its unit' });
export const toCelsius = ({ value, unit }: Typed<'temperature'>): number => toBaseUnit(value, unit);
export const toFahrenheit = ({ value, unit }: Typed<'temperature'>): number => convert(value, unit, 'F');
export const temperatureOut = z
  .object({ value: z.number().describe('The figure, in the unit beside it'), unit: temperatureUnit })
  .meta({ id: 'CalculatedTemperature', description: 'A temperature with its unit' });
export const formatTemperature = (celsius: number, unit: UnitOf<'temperature'>): z.input<typeof temperatureOut> => ({
  value: tidy(fromBaseUnit(celsius, unit)),
  unit,
});

export const windIn = z
  .strictObject({
    value: z.number().describe('The figure, in the unit beside it'),
    unit: unitOf('speed'),
  })
  .superRefine(within<'speed'>(WEATHER_LIMITS.windKmPerHour, 'km/h'))
  .meta({ id: 'WindSpeedInput', description: 'A wind speed with its unit' });
export const toKmPerHour = ({ value, unit }: Typed<'speed'>): number => toBaseUnit(value, unit);
export const toMph = ({ value, unit }: Typed<'speed'>): number => convert(value, unit, 'mph');

const lengthInput = z
  .strictObject({
    value: z.number().gt(0).max(100_000).describe('The figure, in the unit beside it'),
    unit: unitOf('length'),
  })
  .meta({ id: 'LengthInput', description: 'A length with its unit' });
export const lengthIn = (what: string) => lengthInput.describe(`${what}, with its unit`);
export const toMeters = ({ value, unit }: Typed<'length'>): number => toBaseUnit(value, unit);

const densityUnit = unitOf('density');
export const densityIn = z
  .strictObject({ value: z.number().gt(0).max(2000).describe('The figure, in the unit beside it'), unit: densityUnit })
  .meta({
    id: 'BulkDensityInput',
    description: 'Weight of hay as stored, as fed, in a measured volume, with its unit',
  });
export const toKgPerM3 = ({ value, unit }: Typed<'density'>): number => toBaseUnit(value, unit);
export const densityOut = z
  .object({ value: z.number().describe('The figure, in the unit beside it'), unit: densityUnit })
  .meta({ id: 'CalculatedBulkDensity', description: 'A bulk density with its unit' });
export const formatDensity = (kgPerM3: number, unit: UnitOf<'density'>): z.input<typeof densityOut> => ({
  value: tidy(fromBaseUnit(kgPerM3, unit)),
  unit,
});

/** A stack or its storage space; for what a tank holds see `waterVolumeIn`. */
const stackVolumeUnit = unitOf('volume', 'large');
export const volumeOut = z
  .object({ value: z.number().describe('The figure, in the unit beside it'), unit: stackVolumeUnit })
  .meta({ id: 'CalculatedVolume', description: 'A volume with its unit' });
export const formatVolume = (m3: number, unit: UnitOf<'volume'>): z.input<typeof volumeOut> => ({
  value: tidy(convert(m3, 'm3', unit)),
  unit,
});
export const volumeIn = z
  .strictObject({
    value: z.number().gt(0).max(1e6).describe('The figure, in the unit beside it'),
    unit: stackVolumeUnit,
  })
  .meta({ id: 'VolumeInput', description: 'A volume with its unit' });
/** A cubic foot as the cube of a foot, so that the share of a storage space that hay fills keeps its last digit. */
export const toM3 = ({ value, unit }: Typed<'volume'>): number =>
  unit === 'ft3' ? value * toMeters({ value: 1, unit: 'ft' }) ** 3 : convert(value, unit, 'm3');

const waterVolumeUnit = unitOf('volume', 'small');
export const waterVolumeIn = (what: string, most = 10_000) =>
  z
    .strictObject({
      value: z.number().min(0).max(most).describe('The figure, in the unit beside it'),
      unit: waterVolumeUnit,
    })
    .describe(`${what}; US gallons or liters`);
export const toLiters = ({ value, unit }: Typed<'volume'>): number => toBaseUnit(value, unit);

// What goes out.

/** Twelve digits: what a double is good for after a few sums, without noise behind them. */
export function tidy(value: number): number {
  return Number.isFinite(value) ? Number(value.toPrecision(12)) : value;
}
export const tidyOrNull = (value: number | null | undefined): number | null =>
  value === null || value === undefined ? null : tidy(value);

export const formatMass = (mass: Mass, unit: MassUnit): z.input<typeof massOut> => ({
  value: decimalText(mass.in(unit).toDecimalPlaces(MASS_PLACES)),
  unit,
});
export const formatPrice = (price: PricePerMass, per: MassUnit): z.input<typeof pricePerMassOut> => ({
  amount: decimalText(price.in(per).toDecimalPlaces(PRICE_PLACES)),
  currency: price.currency,
  per,
});
export const formatDecimal = (value: Decimal, places = 6): string => decimalText(value.toDecimalPlaces(places));
export const massInOrZeroOf = (what: string) => massInOrZero.describe(what);
export const kilograms = (mass: MassIn): number => toMass(mass).kilograms.toNumber();

/** A mass unit of the same system for animals: nobody weighs a calf in tons. */
export const smallUnit = (unit: MassUnit): MassUnit => shownUnit('mass', systemOf(unit), 'small');
export const largeUnit = (unit: MassUnit): MassUnit => shownUnit('mass', systemOf(unit), 'large');

/** Units of the equations' figures; a reader of the other system sees the matching unit. */
type FigureUnit = 'mg/d' | 'IU/d' | 'Mcal/d' | 'Mcal' | 'g/d' | 'g' | '%' | 'd' | 'kg/d' | 'kg' | 'L/d' | 'Mcal/kg';

export const figureOut = z
  .object({
    value: z.number().describe('The figure, in the unit beside it'),
    unit: z.string().describe('Its unit, written out: Mcal/d, lb/d, g/d and so on'),
  })
  .meta({ id: 'CalculatedFigure', description: 'A calculated figure with its unit' });
export const figure = (value: number, unit: FigureUnit, system: UnitSystem): z.input<typeof figureOut> => {
  const shown = figureIn(system, { value, unit });
  return { value: tidy(shown.value), unit: shown.unit };
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
export const toKgPerDay = ({ value, unit }: Typed<'mass'>): number => toBaseUnit(value, unit);

// Between zod and the core.

type Present<T> = { [K in keyof T as undefined extends T[K] ? never : K]: T[K] } & {
  [K in keyof T as undefined extends T[K] ? K : never]?: Exclude<T[K], undefined>;
};
/** What was left out is absent, not undefined. */
export function present<T extends object>(given: T): Present<T> {
  return Object.fromEntries(Object.entries(given).filter(([, value]) => value !== undefined)) as Present<T>;
}

/** How the body names a field of the core: names that differ, or a function of the whole field. */
export type Spelling = Readonly<Record<string, string>> | ((field: string) => string);
/** The core's fields are inside an object of the body. */
export const under =
  (name: string, names: Readonly<Record<string, string>> = {}): Spelling =>
  (field) =>
    `${name}${stepsOf(field, names)}`;

/** Turns a refusal of the core into the problem to answer. */
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

const warningOut = z
  .object({
    code: z.string().describe('Code that stays the same between releases'),
    message: z.string().describe('The warning in a sentence'),
    source: z.string().describe('Where the threshold comes from; null where no source is given').nullable(),
  })
  .meta({ id: 'CalculationWarning', description: 'A warning about the answer' });
export const warnings = z.array(warningOut).describe('Warnings about the answer; empty if there are none');
export const noted = ({
  code,
  message,
  source,
}: {
  code: string;
  message: string;
  source?: string;
}): z.input<typeof warningOut> => ({ code, message, source: source ?? null });
