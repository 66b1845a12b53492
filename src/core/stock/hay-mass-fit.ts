import { Mass } from '../units/mass.js';
import { BALE_WEIGHT_POSSIBLE, LOT_MASS_POSSIBLE } from './hay-mass-bounds.data.js';

/** Why so much hay cannot be: what was given and what there can be, whole or for each bale. */
interface MassMisfit {
  readonly of: 'lot' | 'bale';
  readonly given: Mass;
  readonly least: Mass | null;
  readonly most: Mass;
}

/** Whether so much hay in so many bales of a form can be; nothing is said of forms without bales. */
export function massMisfit({
  mass,
  bales,
  baleForm,
}: {
  readonly mass: Mass;
  readonly bales?: number | undefined;
  readonly baleForm: string;
}): MassMisfit | undefined {
  const most = Mass.kilograms(LOT_MASS_POSSIBLE.kg);
  if (mass.kilograms.gt(most.kilograms)) return { of: 'lot', given: mass, least: null, most };
  const possible = Object.entries(BALE_WEIGHT_POSSIBLE).find(([form]) => form === baleForm)?.[1];
  if (bales === undefined || bales < 1 || possible === undefined) return undefined;
  const given = Mass.kilograms(mass.kilograms.div(bales).toDecimalPlaces(3));
  const [least, heaviest] = possible.kg;
  const kilograms = given.kilograms.toNumber();
  if (kilograms >= least && kilograms <= heaviest) return undefined;
  return { of: 'bale', given, least: Mass.kilograms(least), most: Mass.kilograms(heaviest) };
}
