import { z } from 'zod';
import { DECIMAL_TEXT, type Decimal, decimalText, figureText } from '../../core/units/decimal.js';
import { Mass, type MassUnit } from '../../core/units/mass.js';
import { CURRENCIES, type Currency, MINOR_DIGITS, Money, PricePerMass } from '../../core/units/money.js';
import {
  convertDecimal,
  type Dimension,
  fromBaseUnit,
  shownUnit,
  systemOf,
  unitIn,
  unitsOf,
  type UnitOf,
  type UnitSize,
  type UnitSystem,
} from '../../core/units/unit.js';
import { UNIT_SYSTEMS } from '../../core/units/units.data.js';
import { massUnit, unitOf } from './unit.schema.js';

export { massUnit, type UnitSystem };

/**
 * How quantities cross the wire. In: a decimal as text (exact, read back digit for digit) or as a JSON number, and its
 * unit. Out: decimal text and unit, with `typed` beside it, what the person wrote.
 */
const DECIMAL_NUMBER = z
  .number()
  .refine(
    (value) => DECIMAL_TEXT.test(String(value)),
    'must be a plain decimal number of at most 18 digits before and 12 after the point',
  );

export const decimalIn = z
  .union([
    z
      .string()
      .regex(
        DECIMAL_TEXT,
        'must be a decimal such as "24", ".5" or "1150.5": at most 18 digits before and 12 after the point',
      ),
    DECIMAL_NUMBER,
  ])
  .transform(String)
  .meta({
    id: 'DecimalInput',
    outputId: 'DecimalAsTyped',
    description: 'A decimal as text (kept digit for digit) or as a JSON number',
  });

export const decimalOut = z
  .string()
  .regex(/^-?(\d+(\.\d+)?|\.\d+)$/)
  .meta({
    id: 'Decimal',
    description: 'A decimal as text, so that no digit is lost; one that was typed as ".5" is told so',
  });

const massInShape = z.strictObject({ value: decimalIn, unit: massUnit });
export type MassIn = z.output<typeof massInShape>;

/**
 * No yard holds a million metric tons, and no scale reads a thousandth of a milligram: anything beyond that means a
 * wrong unit.
 */
const KILOGRAMS_MAX = 1e9;
const KILOGRAMS_MIN = 1e-9;
/** A rule on the kilograms of a well-formed mass; a malformed one already has its own finding. */
const kilogramsHold =
  (rule: (kilograms: Decimal) => boolean) =>
  (mass: MassIn): boolean =>
    !DECIMAL_TEXT.test(mass.value) || rule(Mass.of(mass.value, mass.unit).kilograms);
const bounded = massInShape.refine(
  kilogramsHold((kilograms) => kilograms.lte(KILOGRAMS_MAX)),
  { path: ['value'], message: 'must be at most 1,000,000 t' },
);

export const massIn = bounded
  .refine(
    kilogramsHold((kilograms) => kilograms.gte(KILOGRAMS_MIN)),
    { path: ['value'], message: 'must be more than 0' },
  )
  .meta({
    id: 'MassInput',
    outputId: 'MassAsTyped',
    description: 'A mass above zero, as it was read from the scale or the ticket',
  });
export const massInOrZero = bounded
  .refine(
    kilogramsHold((kilograms) => kilograms.gte(0)),
    { path: ['value'], message: 'must be 0 or more' },
  )
  .meta({ id: 'MassOrZeroInput', description: 'A mass of zero or more, as it was read from the scale or the ticket' });

export const massOut = z
  .object({ value: decimalOut, unit: massUnit })
  .meta({ id: 'Mass', description: 'A mass with its unit' });
const typedOut = z
  .object({
    value: decimalOut,
    unit: z.enum(['bale', ...unitsOf('mass')]).describe('A unit of mass, or bale where bales were counted'),
  })
  .meta({ id: 'TypedFigure', description: 'A figure as a person typed it, digit for digit, with the unit they chose' });
/** A single mass as a person typed it. */
export const massAsTypedOut = z
  .object({ value: decimalOut, unit: massUnit })
  .meta({ id: 'MassAsTyped', description: 'A mass as it was typed, digit for digit' });

export const typedMassOut = massOut
  .extend({ typed: typedOut.describe('As it was typed, digit for digit') })
  .meta({ id: 'TypedMass', description: 'A mass in the units asked for, and as it was typed' });

export const unitSystem = z
  .enum(UNIT_SYSTEMS)
  .meta({ id: 'UnitSystem', description: 'us (pounds and short tons) or metric (kilograms and metric tons)' });
export const unitsQuery = {
  units: unitSystem.optional().describe("Units of the answer; the operation's own preference if left out"),
};

export const currency = z.enum(CURRENCIES).meta({ id: 'Currency', description: 'ISO 4217 code of the currency' });
const MONEY_TEXT = figureText({ digits: 12, places: 2, signed: true });
export const amountIn = decimalIn.refine(
  (value) => MONEY_TEXT.test(value),
  'must be an amount with at most twelve digits before and two after the point',
);
export const moneyOut = z
  .object({ amount: decimalOut, currency })
  .meta({ id: 'Money', description: 'An amount of money; to the cent' });
/** Beside an amount. */
export const moneyAsTyped = decimalOut
  .nullable()
  .describe('As it was typed, digit for digit; null where nothing was, and for readers without prices');
export const pricePerMassOut = z
  .object({ amount: decimalOut, currency, per: massUnit })
  .meta({ id: 'PricePerMass', description: 'Money per unit of mass' });

/** The scale's reading as a mass. */
export function toMass(given: MassIn): Mass {
  return Mass.of(given.value, given.unit);
}

/** Small masses are for a head or a bale, large ones for a lot or a season. */
export type MassSize = UnitSize;
const OUT_PLACES = 6;

export function unitFor(system: UnitSystem, size: MassSize): MassUnit {
  return shownUnit('mass', system, size);
}

export function formatMass(mass: Mass, system: UnitSystem, size: MassSize): z.input<typeof massOut> {
  const unit = unitFor(system, size);
  return { value: decimalText(mass.in(unit).toDecimalPlaces(OUT_PLACES)), unit };
}

/** A figure of a dimension other than mass, with its unit: temperature, wind, depth, water, energy. */
export function measureOut<Of extends Dimension>(dimension: Of, size?: UnitSize) {
  return z.object({
    value: z.number().describe('The figure, in the unit beside it'),
    unit: unitOf(dimension, size),
  });
}

/** A figure in the base unit of its dimension, given in the units of a system. */
export function formatMeasure<Of extends Dimension>(
  value: number,
  dimension: Of,
  system: UnitSystem,
  { size, places = 1 }: { size?: UnitSize; places?: number } = {},
): { value: number; unit: UnitOf<Of> } {
  const unit = shownUnit(dimension, system, size);
  return { value: Number(fromBaseUnit(value, unit).toFixed(places)), unit };
}

/** A figure of a dimension other than mass, in the units asked for and as typed. */
function typedMeasureOut<Of extends Dimension>(dimension: Of, size?: UnitSize) {
  const figure = { value: decimalOut, unit: unitOf(dimension, size) };
  return z.object({ ...figure, typed: z.object(figure).describe('As it was typed, digit for digit') });
}
export const typedTemperatureOut = typedMeasureOut('temperature').meta({
  id: 'TypedTemperature',
  description: 'A temperature in the units asked for, and as it was typed',
});
export const typedSpeedOut = typedMeasureOut('speed').meta({
  id: 'TypedSpeed',
  description: 'A speed in the units asked for, and as it was typed',
});
export const typedLengthOut = typedMeasureOut('length').meta({
  id: 'TypedLength',
  description: 'A length in the units asked for, and as it was typed',
});
export const typedFlowOut = typedMeasureOut('flow').meta({
  id: 'TypedFlow',
  description: 'A flow of water in the units asked for, and as it was typed',
});
export const typedVolumeOut = typedMeasureOut('volume', 'small').meta({
  id: 'TypedVolume',
  description: 'A volume of water in the units asked for, and as it was typed',
});

/** A figure as typed, or null if none was. */
export function typedFigure<Unit>(value: string | null, unit: Unit | null): { value: string; unit: Unit } | null {
  return value === null || unit === null ? null : { value, unit };
}

interface TypedMeasure<Of extends Dimension> {
  value: string;
  unit: UnitOf<Of>;
}

const MEASURE_PLACES = 3;

/** A figure other than a mass as a person typed it, converted to the units of a system; in its own, digit for digit. */
export function formatTypedMeasure<Of extends Dimension>(
  typed: TypedMeasure<Of>,
  system: UnitSystem,
): TypedMeasure<Of> & { typed: TypedMeasure<Of> } {
  const unit = unitIn<Of>(system, typed.unit);
  if (unit === typed.unit) return { ...typed, typed };
  const converted = convertDecimal<Of>(typed.value, typed.unit, unit).toDecimalPlaces(MEASURE_PLACES);
  return { value: decimalText(converted), unit, typed };
}

/** The same for a figure that may not have been measured. */
export function formatTypedMeasureOrNull<Of extends Dimension>(
  value: string | null,
  unit: UnitOf<Of> | null,
  system: UnitSystem,
): ReturnType<typeof formatTypedMeasure<Of>> | null {
  const typed = typedFigure(value, unit);
  return typed === null ? null : formatTypedMeasure<Of>(typed, system);
}

export function formatTypedMass(
  kilograms: string,
  typedValue: string,
  typedUnit: MassUnit | 'bale',
  system: UnitSystem,
  size: MassSize,
): z.input<typeof typedMassOut> {
  const typed = { value: typedValue, unit: typedUnit };
  const unit = unitFor(system, size);
  // In the typed unit nothing is converted: the digits are those the person typed.
  const shown =
    unit === typed.unit ? { value: typed.value, unit } : formatMass(Mass.kilograms(kilograms), system, size);
  return { ...shown, typed };
}

const BY_THE_OUNCE: Readonly<Record<UnitSystem, MassUnit>> = { us: 'oz', metric: 'g' };

/** What one head is given, as typed in a unit of the system, else in that of the other which is as fine. */
export function formatTypedPerHead(
  typed: { value: string; unit: MassUnit },
  system: UnitSystem,
): z.input<typeof typedMassOut> {
  if (systemOf(typed.unit) === system) return { ...typed, typed };
  const isFine = Object.values(BY_THE_OUNCE).includes(typed.unit);
  const unit = isFine ? BY_THE_OUNCE[system] : unitFor(system, 'small');
  const converted = convertDecimal(typed.value, typed.unit, unit).toDecimalPlaces(MEASURE_PLACES);
  return { value: decimalText(converted), unit, typed };
}

export function formatMoney(money: Money): z.input<typeof moneyOut> {
  return { amount: money.rounded().amount.toFixed(MINOR_DIGITS), currency: money.currency };
}

export function formatPrice(
  price: PricePerMass,
  system: UnitSystem,
  size: MassSize = 'large',
): z.input<typeof pricePerMassOut> {
  const per = unitFor(system, size);
  const places = size === 'large' ? MINOR_DIGITS : 4;
  return { amount: price.in(per).toFixed(places), currency: price.currency, per };
}

export function asCurrency(code: string): Currency {
  return currency.parse(code);
}

export function formatDecimal(value: Decimal, places: number): string {
  return decimalText(value.toDecimalPlaces(places));
}
