import { Decimal as DecimalJs } from 'decimal.js';

/**
 * The one decimal type here: 60 significant digits and banker's rounding, so that no sum, conversion or price in
 * these books is limited by the library's default of 20 digits.
 */
export const Decimal = DecimalJs.clone({
  precision: 60,
  rounding: DecimalJs.ROUND_HALF_EVEN,
  toExpNeg: -40,
  toExpPos: 60,
});
export type Decimal = DecimalJs;

export const ZERO: Decimal = new Decimal(0);

/** How a figure may be written: so many digits before the point and after it. */
interface FigureShape {
  readonly digits: number;
  readonly places: number;
  readonly signed?: boolean;
  /** Whether zeros may stand before other digits, as in "007". */
  readonly leadingZeros?: boolean;
}

/**
 * What a decimal may look like when a person or a program writes it: digits, one point, an optional sign. Half of
 * something is "0.5" or ".5"; "5." is no whole figure, since the rest of it may be missing.
 */
export function figureText({ digits, places, signed = false, leadingZeros = true }: FigureShape): RegExp {
  const whole = leadingZeros ? `\\d{1,${digits}}` : `(?:0|[1-9]\\d{0,${digits - 1}})`;
  return RegExp(`^${signed ? '-?' : ''}(?:${whole}(?:\\.\\d{1,${places}})?|\\.\\d{1,${places}})$`);
}

/** A decimal without bounds of its own. */
export const DECIMAL_TEXT = figureText({ digits: 18, places: 12, signed: true, leadingZeros: false });

/**
 * A decimal from text or an integer. Floats are refused on purpose: these books hold only what can be written
 * exactly.
 */
export function decimal(value: string | number | Decimal): Decimal {
  if (typeof value === 'number' && !Number.isSafeInteger(value)) {
    throw new RangeError(`decimal() takes text or whole numbers, was given the float ${value}`);
  }
  return new Decimal(value);
}

/**
 * A float that came out of nutrition or statistics, as a decimal of at most `places` places. Never for money or mass at
 * rest.
 */
export function decimalFromFloat(value: number, places: number): Decimal {
  if (!Number.isFinite(value)) throw new RangeError(`Not a finite number: ${value}`);
  return new Decimal(value).toDecimalPlaces(places);
}

/** Plain digits, no exponent, no trailing zeros. */
export function decimalText(value: Decimal): string {
  return value.toFixed();
}

export function sumDecimals(values: Iterable<Decimal>): Decimal {
  let total = ZERO;
  for (const value of values) total = total.plus(value);
  return total;
}

/** Far beyond any figure that is kept, and short of what is lost at sixty digits by a long chain of quotients. */
const DUST_PLACES = 36;

/** Without the dust of earlier quotients, so that what is exactly half a cent, or as much as another, is. */
export function settled(value: Decimal): Decimal {
  return value.toDecimalPlaces(DUST_PLACES);
}

/**
 * Shares `total` out over `weights` at `places` decimal places so that the shares add up to the total exactly.
 * Each share is rounded toward zero first; the units that are left go one by one to the largest remainders,
 * the earlier share first where remainders tie.
 * @throws RangeError if there are no weights, one is negative, all are zero, or the total has more places than asked
 * for.
 */
export function shareOut(total: Decimal, weights: readonly Decimal[], places: number): Decimal[] {
  const sum = sumDecimals(weights);
  if (weights.length === 0 || sum.lte(0) || weights.some((weight) => weight.lt(0))) {
    throw new RangeError('Sharing out needs at least one positive weight and no negative one');
  }
  if (total.decimalPlaces() > places) throw new RangeError(`The total has more than ${places} decimal places`);
  const exact = weights.map((weight) => settled(total.times(weight).div(sum)));
  const shares = exact.map((share) => share.toDecimalPlaces(places, DecimalJs.ROUND_DOWN));
  const unit = new Decimal(10).pow(-places).times(total.isNegative() ? -1 : 1);
  let left = total.minus(sumDecimals(shares)).div(unit).toNumber();
  const byRemainder = exact
    .map((share, index) => ({ index, remainder: share.minus(shares[index] ?? ZERO).abs() }))
    .sort((a, b) => b.remainder.comparedTo(a.remainder) || a.index - b.index);
  for (const { index } of byRemainder) {
    if (left <= 0) break;
    shares[index] = (shares[index] ?? ZERO).plus(unit);
    left -= 1;
  }
  return shares;
}
