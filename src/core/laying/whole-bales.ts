import { Decimal, decimal } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import { CARRYING } from './carrying.data.js';

/**
 * `open-enough`: open the fewest whole bales that cover the need, feed exactly the need, keep the rest for the next
 * feeding. `nearest-whole`: feed whole bales only, the nearest number; what was fed over or under the need is carried
 * into the next feeding.
 */
export const BALE_ROUNDINGS = ['open-enough', 'nearest-whole'] as const;
export type BaleRounding = (typeof BALE_ROUNDINGS)[number];

/** Nobody opens a bale for so little of it: an ounce or two left by rounding the need per head. */
const NOT_WORTH_A_BALE = decimal('0.0001');

const MAY_BE_LIGHTER_BY = decimal(1).minus(decimal(CARRYING.lightestBaleShare.value));

export interface BalePlan {
  readonly rounding: BaleRounding;
  readonly need: Mass;
  readonly bales: number;
  readonly opened: Mass;
  readonly fed: Mass;
  readonly carriedIn: Mass;
  /** Hay left in opened bales (never negative), or the running balance of whole bales against need (either sign). */
  readonly carriedOut: Mass;
}

/**
 * Whole bales for one layer on one day, with what is left carried on. `carriedIn` of `open-enough` is hay on hand (≥
 * 0); of `nearest-whole` what was fed above (+) or below (−) the need so far. Always: carriedIn + opened = fed +
 * carriedOut for `open-enough` (but for what is not worth a bale), carriedOut = carriedIn + fed − need for
 * `nearest-whole`.
 * @throws RangeError for a bale without weight, a negative need, or negative hay on hand.
 */
export function planWholeBales({
  need,
  baleWeight,
  carriedIn,
  rounding,
  planned,
  onHand,
}: {
  readonly need: Mass;
  readonly baleWeight: Mass;
  readonly carriedIn: Mass;
  readonly rounding: BaleRounding;
  /** Whole bales set by a plan over days (`planBaleDays`), instead of the nearest number for this day alone. */
  readonly planned?: number | undefined;
  /** What the books say is left of the lot, opened bales included: of `open-enough` no more is opened than that. */
  readonly onHand?: Mass | null | undefined;
}): BalePlan {
  if (!baleWeight.isPositive()) throw new RangeError('A bale needs a weight above zero');
  if (need.isNegative()) throw new RangeError('A need cannot be negative');
  if (rounding === 'open-enough' && carriedIn.isNegative()) throw new RangeError('Hay on hand cannot be negative');
  if (rounding === 'open-enough' && onHand !== undefined && onHand !== null) {
    const held = onHand.isNegative() ? Mass.zero : onHand;
    const open = carriedIn.minus(held).isPositive() ? held : carriedIn;
    const unopened = held.minus(open).ratioTo(baleWeight).plus(MAY_BE_LIGHTER_BY).floor();
    const asked = planWholeBales({ need, baleWeight, carriedIn: open, rounding });
    const over = held.minus(need).isNegative() ? Mass.zero : held.minus(need);
    if (unopened.gte(asked.bales))
      return asked.carriedOut.minus(over).isPositive() ? { ...asked, carriedOut: over } : asked;
    // The lot ends: what is not in whole bales lies in opened ones.
    const opened = baleWeight.times(unopened.toNumber());
    const begun = held.minus(opened);
    return {
      ...asked,
      bales: unopened.toNumber(),
      opened,
      carriedIn: begun.isNegative() ? Mass.zero : begun,
      carriedOut: over,
    };
  }
  const exact = need.minus(carriedIn).ratioTo(baleWeight);
  const whole =
    rounding === 'open-enough' ? exact.minus(NOT_WORTH_A_BALE).ceil() : exact.toDecimalPlaces(0, Decimal.ROUND_HALF_UP);
  const bales = planned ?? Decimal.max(whole, decimal(0)).toNumber();
  const opened = baleWeight.times(bales);
  const fed = rounding === 'open-enough' ? need : opened;
  const over = carriedIn.plus(opened).minus(need);
  const carriedOut = rounding === 'open-enough' && over.isNegative() ? Mass.zero : over;
  return { rounding, need, bales, opened, fed, carriedIn, carriedOut };
}
