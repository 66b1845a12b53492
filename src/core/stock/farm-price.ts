import { type Mass } from '../units/mass.js';
import { type Currency, Money, type PricePerMass } from '../units/money.js';

/** The valuation by the farm-price method: 26 CFR 1.471-6(d), inventories of livestock raisers and other farmers. */
export const FARM_PRICE_SOURCE = '26 CFR 1.471-6(d)';

export interface FarmPriceValue {
  readonly grossValue: Money;
  readonly disposition: Money;
  readonly value: Money;
  readonly source: string;
}

/**
 * Farm-price value of hay on hand: market price less the direct cost of disposition, for everything on hand, raised or
 * bought. It is a valuation beside the cost books (for a tax return), never a posting in them. The value is rounded
 * once, from both prices; so is the gross value, and the cost of disposition is what lies between, so that the lines
 * make up the value to the cent.
 */
export function farmPriceValue(input: {
  onHand: Mass;
  marketPrice: PricePerMass;
  costOfDisposition: PricePerMass;
}): FarmPriceValue {
  const grossValue = input.marketPrice.for(input.onHand).rounded();
  const value = input.marketPrice.for(input.onHand).minus(input.costOfDisposition.for(input.onHand)).rounded();
  return { grossValue, disposition: grossValue.minus(value), value, source: FARM_PRICE_SOURCE };
}

/** A kind of hay or feed, and what it would bring; without a price, nobody knows. */
export interface KindOnHand {
  readonly hayKind: string;
  readonly onHand: Mass;
  readonly marketPrice: PricePerMass | undefined;
  readonly costOfDisposition: PricePerMass;
}

/** The same for several kinds, in their order. The totals are null where one of them has no price. */
export function farmPriceOfKinds(
  kinds: readonly KindOnHand[],
  currency: Currency,
): {
  readonly values: readonly (FarmPriceValue | null)[];
  readonly total: Omit<FarmPriceValue, 'source'> | null;
  readonly unpriced: readonly string[];
} {
  const values = kinds.map(({ onHand, marketPrice, costOfDisposition }) =>
    marketPrice === undefined ? null : farmPriceValue({ onHand, marketPrice, costOfDisposition }),
  );
  const unpriced = kinds.filter(({ marketPrice }) => marketPrice === undefined).map(({ hayKind }) => hayKind);
  const known = values.flatMap((one) => one ?? []);
  const sum = (of: 'grossValue' | 'disposition' | 'value'): Money =>
    Money.sum(
      known.map((one) => one[of]),
      currency,
    );
  const total = { grossValue: sum('grossValue'), disposition: sum('disposition'), value: sum('value') };
  return { values, total: unpriced.length > 0 ? null : total, unpriced };
}
