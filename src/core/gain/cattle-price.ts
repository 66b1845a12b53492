import { type Refusal, refused } from '../outcome/outcome.js';
import { problem } from '../outcome/problem.js';
import { decimal, type Decimal, ZERO } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import { type Currency, Money, PricePerMass } from '../units/money.js';
import { pencilShrink } from './weights.js';

/** How cattle are priced: a head, by weight, or one sum for all of them. */
export const HEAD_PRICE_BASES = ['per-head', 'per-mass', 'lump-sum'] as const;
/** What a price of cattle is for. A hundredweight (cwt) is 100 lb (NIST Handbook 44, appendix C). */
export const CATTLE_PRICE_UNITS = ['head', 'lot', 'lb', 'cwt', 'kg'] as const;
export const CATTLE_MASS_UNITS = ['lb', 'cwt', 'kg'] as const;
export type CattleMassUnit = (typeof CATTLE_MASS_UNITS)[number];

const HUNDREDWEIGHT = Mass.of(100, 'lb');

export type CattlePrice =
  | { readonly basis: 'per-head' | 'lump-sum'; readonly price: Money }
  | {
      readonly basis: 'per-mass';
      readonly price: PricePerMass;
      /** Share taken off the weight on paper before it is paid: 0.03 is 3 %. */
      readonly pencilShrink?: Decimal;
    };

export interface CattleWorth {
  readonly ok: true;
  /** To the cent. */
  readonly worth: Money;
  /** What is paid for: the weight, less the pencil shrink; null where nobody weighed them. */
  readonly payWeight: Mass | null;
}

/** A price of so much money per pound, hundredweight or kilogram. */
export function pricePerCattleMass(amount: string | Decimal, currency: Currency, per: CattleMassUnit): PricePerMass {
  return per === 'cwt'
    ? PricePerMass.quotient(decimal(amount), HUNDREDWEIGHT.kilograms, currency)
    : PricePerMass.of(amount, currency, per);
}

/** What a price comes to in one of the units that cattle are priced in. */
export function inCattleUnit(price: PricePerMass, per: CattleMassUnit): Decimal {
  return per === 'cwt' ? price.in('lb').times(100) : price.in(per);
}

/**
 * What some cattle are worth at a price: head · price, pay weight · price, or the sum as it stands; to the cent.
 * Refused where a price by weight has no weight to go by, or the shrink is not a share.
 */
export function cattleWorth({
  price,
  head,
  totalWeight,
}: {
  readonly price: CattlePrice;
  readonly head: number;
  readonly totalWeight: Mass | null;
}): CattleWorth | Refusal {
  if (price.basis !== 'per-mass') {
    const worth = price.basis === 'per-head' ? price.price.times(head) : price.price;
    return { ok: true, worth: worth.rounded(), payWeight: totalWeight };
  }
  if (totalWeight === null)
    return refused(
      problem(
        'weight-missing',
        'meanWeight',
        'none',
        'what a head weighed on that day',
        'A price by weight needs the mean weight of these cattle.',
      ),
    );
  const paid = pencilShrink({ weight: totalWeight, shrink: price.pencilShrink ?? ZERO, price: price.price });
  if (!paid.ok) return paid;
  return { ok: true, worth: price.price.for(paid.payWeight).rounded(), payWeight: paid.payWeight };
}
