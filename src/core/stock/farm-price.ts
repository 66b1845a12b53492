import { type Mass } from '../units/mass.js';
import type { Money, PricePerMass } from '../units/money.js';

/** The valuation by the farm-price method: 26 CFR 1.471-6(d), inventories of livestock raisers and other farmers. */
export const FARM_PRICE_SOURCE = '26 CFR 1.471-6(d)';

/**
 * Farm-price value of hay on hand: market price less the direct cost of disposition, for everything on hand, raised or
 * bought. It is a valuation beside the cost books (for a tax return), never a posting in them.
 */
export function farmPriceValue(input: { onHand: Mass; marketPrice: PricePerMass; costOfDisposition: PricePerMass }): {
  readonly grossValue: Money;
  readonly disposition: Money;
  readonly value: Money;
  readonly source: string;
} {
  const grossValue = input.marketPrice.for(input.onHand).rounded();
  const disposition = input.costOfDisposition.for(input.onHand).rounded();
  return { grossValue, disposition, value: grossValue.minus(disposition), source: FARM_PRICE_SOURCE };
}
