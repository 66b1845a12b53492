import { type Decimal, decimal, decimalText, ZERO } from './decimal.js';
import { sizeOf, type UnitOf } from './unit.js';

export type MassUnit = UnitOf<'mass'>;

/** Stored kilograms keep this many decimal places: a typed pound with four decimals is still exact. */
export const KILOGRAM_PLACES = 12;

/**
 * An immutable mass, held in kilograms. The private field makes the class nominal:
 * money, a price or a bare number cannot be passed where a mass is meant.
 */
export class Mass {
  readonly #kilograms: Decimal;
  static readonly zero = new Mass(ZERO);

  private constructor(kilograms: Decimal) {
    this.#kilograms = kilograms;
  }

  static of(value: string | number | Decimal, unit: MassUnit): Mass {
    return new Mass(decimal(value).times(sizeOf(unit)));
  }

  static kilograms(value: string | number | Decimal): Mass {
    return new Mass(decimal(value));
  }

  static sum(masses: Iterable<Mass>): Mass {
    let total = ZERO;
    for (const mass of masses) total = total.plus(mass.#kilograms);
    return new Mass(total);
  }

  get kilograms(): Decimal {
    return this.#kilograms;
  }

  in(unit: MassUnit): Decimal {
    return this.#kilograms.div(sizeOf(unit));
  }

  plus(other: Mass): Mass {
    return new Mass(this.#kilograms.plus(other.#kilograms));
  }

  minus(other: Mass): Mass {
    return new Mass(this.#kilograms.minus(other.#kilograms));
  }

  negated(): Mass {
    return new Mass(this.#kilograms.negated());
  }

  /** Times a pure number: a share, a head count, a day count. */
  times(factor: string | number | Decimal): Mass {
    return new Mass(this.#kilograms.times(decimal(factor)));
  }

  /** Split into equal parts. @throws RangeError on a divisor of zero. */
  dividedBy(divisor: string | number | Decimal): Mass {
    const by = decimal(divisor);
    if (by.isZero()) throw new RangeError('A mass cannot be divided by zero');
    return new Mass(this.#kilograms.div(by));
  }

  /** The pure ratio of two masses. @throws RangeError if `other` is zero. */
  ratioTo(other: Mass): Decimal {
    if (other.isZero()) throw new RangeError('No ratio to a mass of zero');
    return this.#kilograms.div(other.#kilograms);
  }

  compare(other: Mass): -1 | 0 | 1 {
    return this.#kilograms.comparedTo(other.#kilograms) as -1 | 0 | 1;
  }

  isZero(): boolean {
    return this.#kilograms.isZero();
  }

  isNegative(): boolean {
    return this.#kilograms.isNegative() && !this.#kilograms.isZero();
  }

  isPositive(): boolean {
    return this.#kilograms.gt(0);
  }

  toString(): string {
    return `${decimalText(this.#kilograms)} kg`;
  }
}

/** A mass as a person reads it in a sentence: "27000 lb". */
export function massInWords(mass: Mass, unit: MassUnit, places = 6): string {
  return `${decimalText(mass.in(unit).toDecimalPlaces(places))} ${unit}`;
}
