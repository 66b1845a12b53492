import type { Decimal } from '../units/decimal.js';
import { decimal } from '../units/decimal.js';
import type { Mass } from '../units/mass.js';
import { Money, type Currency, type PricePerMass } from '../units/money.js';
import { type Refusal, refused } from '../outcome/outcome.js';
import { problem, type Problem } from '../outcome/problem.js';

/** How hay was priced on its ticket. */
export type HayPrice =
  | { readonly basis: 'per-mass'; readonly price: PricePerMass }
  | { readonly basis: 'per-bale'; readonly price: Money }
  | { readonly basis: 'lump-sum'; readonly price: Money };

export interface LandedCost {
  readonly ok: true;
  /** What the vendor is owed for the hay, to the cent. */
  readonly hay: Money;
  readonly freight: Money;
  readonly charges: Money;
  readonly total: Money;
  /** Total over the weight received. */
  readonly perMass: PricePerMass;
  readonly perBale?: Money;
}

/**
 * Landed cost of a purchase: (price + freight + charges) over the weight received (accounting practice for inventory:
 * all cost of bringing goods to their place; IAS 2 "Inventories", paragraphs 10 and 11).
 */
export function landedCost(input: {
  price: HayPrice;
  weightReceived: Mass;
  bales?: number;
  freight?: Money;
  charges?: Money;
  currency: Currency;
}): LandedCost | Refusal {
  const { price, weightReceived, bales, currency } = input;
  const freight = input.freight ?? Money.zero(currency);
  const charges = input.charges ?? Money.zero(currency);
  const problems: Problem[] = [];
  if (!weightReceived.isPositive())
    problems.push(
      problem(
        'weight-not-positive',
        'weightReceived',
        weightReceived.toString(),
        'more than 0 kg',
        'Hay without weight has no cost per ton.',
      ),
    );
  if (bales !== undefined && !(Number.isSafeInteger(bales) && bales > 0))
    problems.push(
      problem(
        'bales-not-a-count',
        'bales',
        String(bales),
        'a whole number above 0',
        `${bales} is not a number of bales.`,
      ),
    );
  if (price.basis === 'per-bale' && bales === undefined)
    problems.push(problem('bales-missing', 'bales', '', 'given', 'A price per bale needs the number of bales.'));
  for (const [field, amount] of [
    ['freight', freight],
    ['charges', charges],
  ] as const) {
    if (amount.isNegative())
      problems.push(
        problem('amount-negative', field, amount.toString(), '0 or more', 'Freight and charges cannot be below zero.'),
      );
  }
  if (problems.length > 0) return refused(problems);
  const hay = (
    price.basis === 'per-mass'
      ? price.price.for(weightReceived)
      : price.basis === 'per-bale'
        ? price.price.times(bales ?? 0)
        : price.price
  ).rounded();
  if (hay.isNegative())
    return refused(problem('amount-negative', 'price', hay.toString(), '0 or more', 'A price cannot be below zero.'));
  const total = hay.plus(freight).plus(charges);
  return {
    ok: true,
    hay,
    freight,
    charges,
    total,
    perMass: total.per(weightReceived),
    ...(bales === undefined ? {} : { perBale: total.dividedBy(bales) }),
  };
}

/** Price per unit of dry matter: price as fed ÷ dry-matter share (Beckman, Nebraska Extension, BeefWatch 2020). */
export function pricePerDryMatter(input: {
  price: PricePerMass;
  dryMatter: string | Decimal;
  unit: 'ton' | 't' | 'lb' | 'kg';
}): Decimal {
  const share = decimal(input.dryMatter);
  if (share.lte(0) || share.gt(1))
    throw new RangeError(`Dry matter is a share above 0 and at most 1: ${share.toFixed()}`);
  return input.price.dividedBy(share).in(input.unit);
}
