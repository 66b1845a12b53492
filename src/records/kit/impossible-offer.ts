import { type OfferMisfit, offerMisfit } from '../../core/laying/offer-fit.js';
import { Decimal, decimal, decimalFromFloat } from '../../core/units/decimal.js';
import { KILOGRAM_PLACES, Mass } from '../../core/units/mass.js';
import { ruleBroken } from '../../platform/http/problem.js';
import { unitFor, type UnitSystem } from '../../platform/wire/quantity.schema.js';

/** An amount as given: its place in the body and its text, and what it comes to for one head. */
export interface OfferedPart {
  readonly pointer: string;
  /** The unit may be words, such as bales. */
  readonly given: { readonly value: string; readonly unit: string };
  readonly dryMatterKgPerHead: number;
}

/** Whose offer, and how much there can be at once. */
interface OfferedTo {
  readonly herd: string;
  readonly bodyWeightKg: number;
  readonly mostKg: number;
  /** How to end "comes to … a head". */
  readonly span: string;
  /** What was laid before and counts along, and by how many feedings. */
  readonly already?: { readonly dryMatterKgPerHead: number; readonly kilograms: number; readonly by: string };
  /** Where the sum of several amounts is too much. */
  readonly whole: string;
  readonly units: UnitSystem;
}

/** @throws Problem at the amount that no cattle of this weight can be meant to get, or at the whole. */
export function refuseImpossibleOffer(parts: readonly OfferedPart[], to: OfferedTo): void {
  const alreadyKg = to.already?.dryMatterKgPerHead ?? 0;
  const found = offerMisfit(
    parts.map((part) => part.dryMatterKgPerHead),
    to.mostKg - alreadyKg,
  );
  if (found === undefined) return;
  const misfit = { ...found, offeredKg: found.offeredKg + alreadyKg, mostKg: to.mostKg };
  const message = offerMisfitWords(misfit, to);
  const part = misfit.part === null ? undefined : parts[misfit.part.index];
  if (misfit.part === null || part === undefined)
    throw ruleBroken(
      to.whole,
      'more-than-cattle-hold',
      `${shownKg(misfit.offeredKg, to)} of dry matter a head${to.span}`,
      `${shownKg(misfit.mostKg, to)} of dry matter a head${to.span} or less`,
      message,
    );
  const { value, unit } = part.given;
  // Rounded down: whatever is said to be allowed is taken.
  const allowed = decimal(value)
    .times(decimalFromFloat(misfit.part.allowedShare, 9))
    .toSignificantDigits(3, Decimal.ROUND_DOWN);
  throw ruleBroken(
    part.pointer,
    'more-than-cattle-hold',
    `${value} ${unit}`,
    `${allowed.toFixed()} ${unit} or less`,
    message,
  );
}

/** Why no cattle can be meant, in the units of the reader. */
function offerMisfitWords(misfit: Pick<OfferMisfit, 'offeredKg' | 'mostKg'>, to: OfferedTo): string {
  return (
    `That comes to ${shownKg(misfit.offeredKg, to)} of dry matter a head${to.span}${alreadyWords(to)}. The herd ` +
    `${to.herd} weighs ` +
    `${shownKg(to.bodyWeightKg, to)} a head, and such cattle can be offered ${shownKg(misfit.mostKg, to)} at most, ` +
    'waste and calves beside them included. Check the unit, the decimal point, the head, and the weight of the herd.'
  );
}

const alreadyWords = (to: OfferedTo): string =>
  to.already === undefined ? '' : `, with the ${shownKg(to.already.kilograms, to)} that ${to.already.by} laid already`;

/** In the small unit of a system, to the whole. */
export function shownKg(kg: number, { units }: Pick<OfferedTo, 'units'>): string {
  const unit = unitFor(units, 'small');
  const mass = Mass.kilograms(decimalFromFloat(kg, KILOGRAM_PLACES));
  return `${mass.in(unit).toDecimalPlaces(0).toNumber().toLocaleString('en-US')} ${unit}`;
}
