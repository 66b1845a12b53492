import { type Decimal, decimal } from './decimal.js';
import { DIMENSIONS, type Dimension, type UnitRow, UNITS, type UnitSize, type UnitSystem } from './units.data.js';

export type { Dimension, UnitSize, UnitSystem };

export type Unit = keyof typeof UNITS;
/** The codes of the units of one dimension. */
export type UnitOf<Of extends Dimension> = {
  [Code in Unit]: (typeof UNITS)[Code]['dimension'] extends Of ? Code : never;
}[Unit];

const ROWS: Readonly<Record<Unit, UnitRow>> = UNITS;
const CODES = Object.keys(UNITS) as Unit[];
/** Units found by `shownUnit`, which every figure of an answer asks for. */
const SHOWN = new Map<string, Unit>();

export function unitRow(unit: Unit): UnitRow {
  return ROWS[unit];
}

/** Units of a dimension in the order of the table; of one size only, if one is named. */
export function unitsOf<Of extends Dimension>(dimension: Of, size?: UnitSize): readonly [UnitOf<Of>, ...UnitOf<Of>[]] {
  const found = CODES.filter(
    (code) => ROWS[code].dimension === dimension && (size === undefined || ROWS[code].size === size),
  );
  return found as unknown as readonly [UnitOf<Of>, ...UnitOf<Of>[]];
}

/**
 * The unit in which answers of a system show a dimension.
 * @throws RangeError if the table marks none.
 */
export function shownUnit<Of extends Dimension>(dimension: Of, system: UnitSystem, size?: UnitSize): UnitOf<Of> {
  const asked = `${dimension} ${system} ${size ?? ''}`;
  const known = SHOWN.get(asked);
  if (known !== undefined) return known as UnitOf<Of>;
  const found = unitsOf(dimension, size).find((code) => ROWS[code].shown === true && ROWS[code].system === system);
  if (found === undefined) throw new RangeError(`No ${system} unit is marked to show ${dimension}`);
  SHOWN.set(asked, found);
  return found;
}

/** The unit that stands for this one in the other system's answers: kg in US answers is lb; g stays g. */
export function unitIn<Of extends Dimension>(system: UnitSystem, unit: UnitOf<Of>): UnitOf<Of> {
  const { dimension, size } = ROWS[unit];
  const shown = CODES.find((code) => {
    const row = ROWS[code];
    return row.dimension === dimension && row.size === size && row.shown === true && row.system === system;
  });
  return shown !== undefined && ROWS[unit].shown === true ? (shown as UnitOf<Of>) : unit;
}

export function systemOf(unit: Unit): UnitSystem {
  return ROWS[unit].system ?? 'metric';
}

/** Exact conversion factors, worked out once: decimals for what is kept, floats for what the equations use. */
interface Factor {
  readonly size: Decimal;
  /** Base units in one; undefined where dividing by `per` loses less. */
  readonly times: number | undefined;
  readonly per: number;
  readonly zeroAt: number;
}

function factorOf({ of, per, zeroAt }: UnitRow): Factor {
  const size = decimal(of ?? 1).div(decimal(per ?? 1));
  return {
    size,
    times: of === undefined ? undefined : size.toNumber(),
    per: Number(per ?? 1),
    zeroAt: Number(zeroAt ?? 0),
  };
}

const FACTORS = Object.fromEntries(CODES.map((code) => [code, factorOf(ROWS[code])])) as Record<Unit, Factor>;

/**
 * How many base units one of this unit is; exact to 60 digits. Not for temperatures, which have a zero of their own.
 */
export function sizeOf(unit: Unit): Decimal {
  return FACTORS[unit].size;
}

/** A float in the base unit of its dimension: kg, m, L, L/min, kg/m3, °C, km/h, Mcal, Mcal/kg, ppm. */
export function toBaseUnit(value: number, unit: Unit): number {
  const { times, per, zeroAt } = FACTORS[unit];
  const from = zeroAt === 0 ? value : value - zeroAt;
  return times === undefined ? from / per : from * times;
}

/** A float of the base unit, expressed in another unit of the dimension. */
export function fromBaseUnit(value: number, unit: Unit): number {
  const { times, per, zeroAt } = FACTORS[unit];
  const fromZero = times === undefined ? value * per : value / times;
  return zeroAt === 0 ? fromZero : fromZero + zeroAt;
}

/** A decimal from one unit to another of the same dimension, exact to 60 digits. */
export function convertDecimal<Of extends Dimension>(
  value: string | Decimal,
  from: UnitOf<Of>,
  to: UnitOf<Of>,
): Decimal {
  const [given, asked] = [ROWS[from], ROWS[to]];
  const above = decimal(value).minus(given.zeroAt ?? 0);
  const base = given.of === undefined ? above.div(decimal(given.per ?? 1)) : above.times(sizeOf(from));
  const fromZero = asked.of === undefined ? base.times(decimal(asked.per ?? 1)) : base.div(sizeOf(to));
  return fromZero.plus(asked.zeroAt ?? 0);
}

/** A float from one unit to another of the same dimension, by one rounding: the exact factor is found first. */
export function convert<Of extends Dimension>(value: number, from: UnitOf<Of>, to: UnitOf<Of>): number {
  if (from === to) return value;
  const base: Unit = DIMENSIONS[ROWS[from].dimension];
  if (to === base) return toBaseUnit(value, from);
  if (from === base) return fromBaseUnit(value, to);
  if (FACTORS[from].zeroAt !== 0 || FACTORS[to].zeroAt !== 0) return fromBaseUnit(toBaseUnit(value, from), to);
  const factor = sizeOf(from).div(sizeOf(to));
  const inverse = sizeOf(to).div(sizeOf(from));
  // A terminating factor (453.59237 g in a pound) is exact as a float's text; its non-terminating inverse is not.
  return inverse.decimalPlaces() < factor.decimalPlaces() ? value / inverse.toNumber() : value * factor.toNumber();
}

/** "kg, g, t (metric ton), lb, oz or ton (US short ton of 2,000 lb)". */
export function codesInWords(units: readonly Unit[]): string {
  return inWords(
    units.map((code) => (ROWS[code].explained === undefined ? code : `${code} (${ROWS[code].explained})`)),
  );
}

/** "US gallons or liters". */
export function namesInWords(units: readonly Unit[]): string {
  return inWords(units.map((code) => ROWS[code].plural));
}

function inWords(parts: readonly string[]): string {
  const [last, ...others] = [...parts].reverse();
  return others.length === 0 ? (last ?? '') : `${others.reverse().join(', ')} or ${last}`;
}
