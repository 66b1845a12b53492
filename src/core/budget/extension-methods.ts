import { type Decimal, decimal } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import { UKY_ANIMAL_UNITS, type UkyAnimalClass } from './extension-methods.data.js';

/**
 * Hay on hand after losses: bales × weight × (1 − loss). Loss is storage and feeding together, a share. University
 * of Kentucky Extension.
 */
export function hayOnHand(input: { bales: number; baleWeight: Mass; loss: string | Decimal }): Mass {
  if (!Number.isSafeInteger(input.bales) || input.bales < 0)
    throw new RangeError(`Not a number of bales: ${input.bales}`);
  return input.baleWeight.times(input.bales).times(decimal(1).minus(decimal(input.loss)));
}

/** Animal units of a herd list: by class, or by weight (100 lb is 0.1 unit). University of Kentucky Extension. */
export function ukyAnimalUnits(
  groups: readonly (
    | { readonly head: number; readonly animalClass: UkyAnimalClass }
    | { readonly head: number; readonly bodyWeight: Mass }
  )[],
): Decimal {
  return groups.reduce((sum, group) => {
    const unit =
      'animalClass' in group ? decimal(UKY_ANIMAL_UNITS[group.animalClass]) : group.bodyWeight.in('lb').div(1000);
    return sum.plus(unit.times(group.head));
  }, decimal(0));
}

/** Hay for animal units: units × days × hay per unit per day, as fed. University of Kentucky Extension. */
export function ukyHayNeed(input: { animalUnits: Decimal; days: number; hayPerUnitDay: Mass }): Mass {
  return input.hayPerUnitDay.times(input.animalUnits).times(input.days);
}

/** Whole bales needed to make up a mass. */
export function balesFor(input: { needed: Mass; baleWeight: Mass }): number {
  if (!input.baleWeight.isPositive()) throw new RangeError('A bale must weigh more than zero');
  return input.needed.ratioTo(input.baleWeight).ceil().toNumber();
}
