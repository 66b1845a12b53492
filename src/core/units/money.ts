import { Decimal, decimal, decimalText, shareOut, settled, ZERO } from './decimal.js';
import type { Mass, MassUnit } from './mass.js';
import { sizeOf } from './unit.js';

/** ISO 4217 codes that the books accept; all have two decimal digits. */
export const CURRENCIES = ['USD', 'CAD', 'EUR', 'GBP', 'AUD', 'NZD'] as const;
export type Currency = (typeof CURRENCIES)[number];
export const MINOR_DIGITS = 2;
const ONE = decimal(1);

/** An immutable sum of money in one currency. Sums keep every digit; `rounded()` goes to the cent, half to even. */
export class Money {
  readonly #amount: Decimal;
  readonly currency: Currency;

  private constructor(amount: Decimal, currency: Currency) {
    this.#amount = amount;
    this.currency = currency;
  }

  static of(amount: string | number | Decimal, currency: Currency): Money {
    return new Money(decimal(amount), currency);
  }

  static zero(currency: Currency): Money {
    return new Money(ZERO, currency);
  }

  static sum(amounts: Iterable<Money>, currency: Currency): Money {
    let total = Money.zero(currency);
    for (const amount of amounts) total = total.plus(amount);
    return total;
  }

  get amount(): Decimal {
    return this.#amount;
  }

  /** @throws RangeError if the currencies differ: there is no exchange rate in these books. */
  plus(other: Money): Money {
    return new Money(this.#amount.plus(this.#same(other).#amount), this.currency);
  }

  minus(other: Money): Money {
    return new Money(this.#amount.minus(this.#same(other).#amount), this.currency);
  }

  negated(): Money {
    return new Money(this.#amount.negated(), this.currency);
  }

  times(factor: string | number | Decimal): Money {
    return new Money(this.#amount.times(decimal(factor)), this.currency);
  }

  dividedBy(divisor: string | number | Decimal): Money {
    const by = decimal(divisor);
    if (by.isZero()) throw new RangeError('Money cannot be divided by zero');
    return new Money(this.#amount.div(by), this.currency);
  }

  /** The part of it that belongs to `part` of `whole`: multiplied first, so that a half cent stays one. */
  portion(part: Decimal, whole: Decimal): Money {
    if (whole.isZero()) throw new RangeError('No portion of nothing');
    return new Money(this.#amount.times(part).div(whole), this.currency);
  }

  /** Price per unit of mass. @throws RangeError on a mass of zero. */
  per(mass: Mass): PricePerMass {
    return PricePerMass.quotient(this.#amount, mass.kilograms, this.currency);
  }

  rounded(): Money {
    return new Money(settled(this.#amount).toDecimalPlaces(MINOR_DIGITS), this.currency);
  }

  /** Shares to the cent that add up to the whole (see `shareOut` for who gets the odd cent). */
  sharedBy(weights: readonly Decimal[]): Money[] {
    return shareOut(this.rounded().#amount, weights, MINOR_DIGITS).map((share) => new Money(share, this.currency));
  }

  compare(other: Money): -1 | 0 | 1 {
    return this.#amount.comparedTo(this.#same(other).#amount) as -1 | 0 | 1;
  }

  isZero(): boolean {
    return this.#amount.isZero();
  }

  isNegative(): boolean {
    return this.#amount.isNegative() && !this.#amount.isZero();
  }

  toString(): string {
    return `${decimalText(this.#amount)} ${this.currency}`;
  }

  #same(other: Money): Money {
    if (other.currency !== this.currency)
      throw new RangeError(`Cannot combine ${this.currency} with ${other.currency}`);
    return other;
  }
}

/**
 * A rate, not an amount: money per mass. It turns into money only when a mass is given. Kept as the two figures that
 * make it, since a price per pound or ton has no end of digits per kilogram: whatever is worked out multiplies first
 * and divides once, so that a half cent stays one and is rounded to even.
 */
export class PricePerMass {
  readonly #amount: Decimal;
  readonly #kilograms: Decimal;
  readonly currency: Currency;

  private constructor(amount: Decimal, kilograms: Decimal, currency: Currency) {
    this.#amount = amount;
    this.#kilograms = kilograms;
    this.currency = currency;
  }

  static of(amount: string | number | Decimal, currency: Currency, unit: MassUnit): PricePerMass {
    return new PricePerMass(decimal(amount), sizeOf(unit), currency);
  }

  static perKilogram(amount: Decimal, currency: Currency): PricePerMass {
    return new PricePerMass(amount, ONE, currency);
  }

  /** So much money for so many kilograms. @throws RangeError on a mass of zero. */
  static quotient(amount: Decimal, kilograms: Decimal, currency: Currency): PricePerMass {
    if (kilograms.isZero()) throw new RangeError('No price per mass of zero');
    return new PricePerMass(amount, kilograms, currency);
  }

  /** The money and the kilograms that it is for. */
  get parts(): { readonly amount: Decimal; readonly kilograms: Decimal } {
    return { amount: this.#amount, kilograms: this.#kilograms };
  }

  in(unit: MassUnit): Decimal {
    return this.#amount.times(sizeOf(unit)).div(this.#kilograms);
  }

  for(mass: Mass): Money {
    return Money.of(this.#amount.times(mass.kilograms).div(this.#kilograms), this.currency);
  }

  times(factor: Decimal): PricePerMass {
    return new PricePerMass(this.#amount.times(factor), this.#kilograms, this.currency);
  }

  /** @throws RangeError on a divisor of zero. */
  dividedBy(divisor: Decimal): PricePerMass {
    return PricePerMass.quotient(this.#amount, this.#kilograms.times(divisor), this.currency);
  }
}
