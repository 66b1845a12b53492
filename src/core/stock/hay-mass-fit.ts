import { Mass } from '../units/mass.js';
import { BALE_WEIGHT_POSSIBLE, LOT_MASS_POSSIBLE } from '../plausibility/entry-bounds.data.js';

/** Why so much hay cannot be, or is unlikely: what was given and what there can be, whole or for each bale. */
interface MassMisfit {
  readonly of: 'lot' | 'bale';
  readonly impossible: boolean;
  readonly source: string;
  readonly given: Mass;
  readonly least: Mass | null;
  readonly most: Mass;
}

/**
 * Whether so much hay in so many bales of a form can be, or else is usual; nothing is said of forms without bales. A
 * load of any feed may be unlikely by itself.
 */
export function massMisfit({
  mass,
  bales,
  baleForm,
}: {
  readonly mass: Mass;
  readonly bales?: number | undefined;
  readonly baleForm: string;
}): MassMisfit | undefined {
  const ofLot = (impossible: boolean, kg: number): MassMisfit | undefined =>
    mass.kilograms.gt(kg)
      ? { of: 'lot', impossible, source: LOT_MASS_POSSIBLE.source, given: mass, least: null, most: Mass.kilograms(kg) }
      : undefined;
  const beyond = ofLot(true, LOT_MASS_POSSIBLE.kg);
  if (beyond !== undefined) return beyond;
  const unlikely = ofLot(false, LOT_MASS_POSSIBLE.usual);
  const possible = Object.entries(BALE_WEIGHT_POSSIBLE).find(([form]) => form === baleForm)?.[1];
  if (bales === undefined || bales < 1 || possible === undefined) return unlikely;
  const given = Mass.kilograms(mass.kilograms.div(bales).toDecimalPlaces(3));
  const kilograms = given.kilograms.toNumber();
  const within = ([from, to]: readonly [number, number]): boolean => kilograms >= from && kilograms <= to;
  if (within(possible.usual)) return unlikely;
  const impossible = !within(possible.kg);
  const [least, most] = impossible ? possible.kg : possible.usual;
  const bale = { given, least: Mass.kilograms(least), most: Mass.kilograms(most) };
  return { of: 'bale', impossible, source: possible.source, ...bale };
}
