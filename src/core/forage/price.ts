import { type Decimal, decimal, decimalFromFloat } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import type { Money, PricePerMass } from '../units/money.js';

/** A percentage as an exact decimal share: money must not pick up float noise. 12 places are far beyond any lab. */
function share(percent: number, name: string, allowZero: boolean): Decimal {
  if (!Number.isFinite(percent) || percent > 100 || percent < 0 || (!allowZero && percent === 0)) {
    throw new RangeError(`${name} must be ${allowZero ? 'from' : 'above'} 0 to 100 %, was ${percent}`);
  }
  return decimalFromFloat(percent, 12).div(100);
}

/** Price of the dry matter alone: price as fed / (DM/100). @throws RangeError if DM is not in (0, 100]. */
export function pricePerDryMatter({
  asFedPrice,
  dryMatterPercent,
}: {
  asFedPrice: PricePerMass;
  dryMatterPercent: number;
}): PricePerMass {
  return asFedPrice.dividedBy(share(dryMatterPercent, 'Dry matter', false));
}

/**
 * Price of one unit of a nutrient: price as fed / (DM/100 · nutrient/100), for example dollars per pound of TDN
 * by `.in('lb')`. The nutrient is in % of dry matter.
 * Source: arithmetic as taught by NDSU and Penn State extension (price per pound of TDN).
 * @throws RangeError if a percentage is not in (0, 100].
 */
export function pricePerNutrient({
  asFedPrice,
  dryMatterPercent,
  nutrientPercentOfDryMatter,
}: {
  asFedPrice: PricePerMass;
  dryMatterPercent: number;
  nutrientPercentOfDryMatter: number;
}): { pricePerNutrient: PricePerMass; pricePerDryMatter: PricePerMass; nutrientShareAsFed: Decimal } {
  const nutrientShareAsFed = share(dryMatterPercent, 'Dry matter', false).times(
    share(nutrientPercentOfDryMatter, 'Nutrient', false),
  );
  return {
    pricePerNutrient: asFedPrice.dividedBy(nutrientShareAsFed),
    pricePerDryMatter: pricePerDryMatter({ asFedPrice, dryMatterPercent }),
    nutrientShareAsFed,
  };
}

/**
 * Price of one Mcal of an energy value: price per kg of DM / (Mcal per kg of DM). The result is money per Mcal, as a
 * decimal.
 * @throws RangeError if the energy is not positive.
 */
export function pricePerMegacalorie({
  asFedPrice,
  dryMatterPercent,
  energyMcalPerKgDryMatter,
}: {
  asFedPrice: PricePerMass;
  dryMatterPercent: number;
  energyMcalPerKgDryMatter: number;
}): Decimal {
  if (!(energyMcalPerKgDryMatter > 0)) throw new RangeError('Energy must be above 0 Mcal/kg');
  return pricePerDryMatter({ asFedPrice, dryMatterPercent })
    .in('kg')
    .div(decimalFromFloat(energyMcalPerKgDryMatter, 12));
}

/** How a loss enters a price. `divide` is exact per unit left over; `multiply` is printed by some extension guides. */
type LossArithmetic = 'divide' | 'multiply';

/**
 * What a unit of hay costs by the time it is eaten: (price + freight and charges per unit) spread over what storage
 * loss and feeding waste leave. With `divide`: (landed) / ((1 − loss)·(1 − waste)); with `multiply`: landed·(1 +
 * loss)·(1 + waste), which gives a lower figure (about 4 % lower at 20 %). Source: Iowa State divides by (1
 * − waste); University of Missouri multiplies by (1 + waste). Dividing is exact, so it is the default.
 * @throws RangeError if nothing is left after loss and waste, or the bought mass is not positive.
 */
export function deliveredCost({
  price,
  bought,
  freightAndCharges,
  storageLossPercent,
  feedingWastePercent,
  arithmetic = 'divide',
}: {
  price: PricePerMass;
  bought: Mass;
  freightAndCharges: Money;
  storageLossPercent: number;
  feedingWastePercent: number;
  arithmetic?: LossArithmetic;
}): {
  landedPrice: PricePerMass;
  pricePerFed: PricePerMass;
  pricePerEaten: PricePerMass;
  landedCost: Money;
  arithmetic: LossArithmetic;
} {
  if (!bought.isPositive()) throw new RangeError('The mass bought must be above zero');
  const loss = share(storageLossPercent, 'Storage loss', true);
  const waste = share(feedingWastePercent, 'Feeding waste', true);
  const one = decimal(1);
  if (arithmetic === 'divide' && (loss.gte(one) || waste.gte(one)))
    throw new RangeError('Nothing is left to eat after a loss of 100 %');
  const landedCost = price.for(bought).plus(freightAndCharges);
  const landedPrice = landedCost.per(bought);
  const after = (value: PricePerMass, lost: Decimal) =>
    arithmetic === 'divide' ? value.dividedBy(one.minus(lost)) : value.times(one.plus(lost));
  const pricePerFed = after(landedPrice, loss);
  return { landedPrice, pricePerFed, pricePerEaten: after(pricePerFed, waste), landedCost, arithmetic };
}

/**
 * Freight of a load: money per loaded distance, times the distance. Unit of distance is the caller's, the same in both.
 * @throws RangeError on a negative or infinite distance.
 */
export function freightForDistance({
  ratePerLoadedDistance,
  distance,
}: {
  ratePerLoadedDistance: Money;
  distance: number;
}): Money {
  if (!(distance >= 0) || !Number.isFinite(distance)) throw new RangeError('Distance must be zero or more');
  return ratePerLoadedDistance.times(decimalFromFloat(distance, 6));
}

interface HayOnOffer {
  readonly id: string;
  /** Price as delivered, after loss and waste, per mass as fed. */
  readonly price: PricePerMass;
  readonly dryMatterPercent: number;
  readonly nutrientPercentOfDryMatter: number;
}

/** Hays ranked by the price of one nutrient, cheapest first; ties keep their order. */
export function rankByNutrientPrice(
  hays: readonly HayOnOffer[],
): { id: string; pricePerNutrient: PricePerMass; rank: number }[] {
  return hays
    .map((hay) => ({
      id: hay.id,
      pricePerNutrient: pricePerNutrient({
        asFedPrice: hay.price,
        dryMatterPercent: hay.dryMatterPercent,
        nutrientPercentOfDryMatter: hay.nutrientPercentOfDryMatter,
      }).pricePerNutrient,
    }))
    .sort((a, b) => a.pricePerNutrient.in('kg').comparedTo(b.pricePerNutrient.in('kg')))
    .map((row, index) => ({ ...row, rank: index + 1 }));
}
