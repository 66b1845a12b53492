import { type Decimal, decimal, decimalFromFloat } from '../units/decimal.js';
import { PricePerMass } from '../units/money.js';
import { pricePerNutrient } from './price.js';

export interface PricedFeed {
  readonly id: string;
  /** Price as delivered, per mass as fed. */
  readonly price: PricePerMass;
  readonly dryMatterPercent: number;
  /** % of DM. */
  readonly energyPercentOfDryMatter: number;
  readonly crudeProteinPercentOfDryMatter: number;
}

function asFedShare(percentOfDryMatter: number, dryMatterPercent: number): Decimal {
  return decimalFromFloat(percentOfDryMatter, 12).times(decimalFromFloat(dryMatterPercent, 12)).div(10_000);
}

/**
 * Price at which a hay's nutrient costs the same as from the cheapest alternative: cheapest price per unit · share as
 * fed.
 * @throws RangeError without alternatives, or on shares outside (0, 100] %.
 */
export function breakEvenPriceByNutrient({
  hay,
  alternatives,
}: {
  hay: { readonly dryMatterPercent: number; readonly nutrientPercentOfDryMatter: number };
  alternatives: readonly {
    readonly id: string;
    readonly price: PricePerMass;
    readonly dryMatterPercent: number;
    readonly nutrientPercentOfDryMatter: number;
  }[];
}): { breakEvenPrice: PricePerMass; cheapest: string; cheapestPricePerNutrient: PricePerMass } {
  const priced = alternatives
    .map((one) => ({
      id: one.id,
      price: pricePerNutrient({
        asFedPrice: one.price,
        dryMatterPercent: one.dryMatterPercent,
        nutrientPercentOfDryMatter: one.nutrientPercentOfDryMatter,
      }).pricePerNutrient,
    }))
    .sort((a, b) => a.price.in('kg').comparedTo(b.price.in('kg')));
  const cheapest = priced[0];
  if (cheapest === undefined) throw new RangeError('A break-even price needs an alternative');
  const share = asFedShare(hay.nutrientPercentOfDryMatter, hay.dryMatterPercent);
  return {
    breakEvenPrice: cheapest.price.times(share),
    cheapest: cheapest.id,
    cheapestPricePerNutrient: cheapest.price,
  };
}

/**
 * Value of a hay from an energy feed and a protein feed: the two reference feeds price a unit of energy (TDN) and a
 * unit of crude protein (two equations in two unknowns), and the hay is worth what it contains of both. Source: the
 * method of Petersen 1932 (J. Dairy Sci. 15:293), as taught in feed valuation (from memory).
 * @throws RangeError if the two reference feeds hold energy and protein in the same proportion, or the currencies
 * differ.
 */
export function petersen1932FeedValue({
  hay,
  energyFeed,
  proteinFeed,
}: {
  hay: Omit<PricedFeed, 'id' | 'price'>;
  energyFeed: PricedFeed;
  proteinFeed: PricedFeed;
}): {
  value: PricePerMass;
  pricePerEnergyUnit: PricePerMass;
  pricePerProteinUnit: PricePerMass;
  aPriceIsNegative: boolean;
} {
  if (energyFeed.price.currency !== proteinFeed.price.currency)
    throw new RangeError('The reference feeds are priced in two currencies');
  const energy = (feed: Omit<PricedFeed, 'id' | 'price'>) =>
    asFedShare(feed.energyPercentOfDryMatter, feed.dryMatterPercent);
  const protein = (feed: Omit<PricedFeed, 'id' | 'price'>) =>
    asFedShare(feed.crudeProteinPercentOfDryMatter, feed.dryMatterPercent);
  const determinant = energy(energyFeed)
    .times(protein(proteinFeed))
    .minus(energy(proteinFeed).times(protein(energyFeed)));
  if (determinant.abs().lt(decimal('1e-12')))
    throw new RangeError('The reference feeds hold energy and protein in the same proportion');
  const [first, second] = [energyFeed.price.in('kg'), proteinFeed.price.in('kg')];
  const perEnergy = first
    .times(protein(proteinFeed))
    .minus(second.times(protein(energyFeed)))
    .div(determinant);
  const perProtein = second
    .times(energy(energyFeed))
    .minus(first.times(energy(proteinFeed)))
    .div(determinant);
  const currency = energyFeed.price.currency;
  return {
    value: PricePerMass.perKilogram(perEnergy.times(energy(hay)).plus(perProtein.times(protein(hay))), currency),
    pricePerEnergyUnit: PricePerMass.perKilogram(perEnergy, currency),
    pricePerProteinUnit: PricePerMass.perKilogram(perProtein, currency),
    aPriceIsNegative: perEnergy.isNegative() || perProtein.isNegative(),
  };
}
