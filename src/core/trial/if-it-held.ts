import { counted } from '../units/counted.js';
import { decimalFromFloat } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import { MINOR_DIGITS, Money, type PricePerMass } from '../units/money.js';

/** Three figures that belong together: the two ends of an interval and the best single figure between them. */
export interface Triple<Value> {
  readonly low: Value;
  readonly estimate: Value;
  readonly high: Value;
}

export function mapTriple<From, To>(triple: Triple<From>, change: (value: From) => To): Triple<To> {
  return { low: change(triple.low), estimate: change(triple.estimate), high: change(triple.high) };
}

/** Floats from statistics become masses with this many places: a microgram. */
const PLACES = 9;

/** Weight that a daily difference would add up to over head and days, if it held. */
export function herdGainIfItHeld({
  differenceKgPerDay,
  head,
  days,
}: {
  differenceKgPerDay: Triple<number>;
  head: number;
  days: number;
}): Triple<Mass> {
  return mapTriple(differenceKgPerDay, (kg) => Mass.kilograms(decimalFromFloat(kg, PLACES)).times(head).times(days));
}

/**
 * Share of the hay need that a lower waste saves, for the same hay eaten: need is eaten / (1 − waste).
 * @throws RangeError if a waste share is not within 0 to below 1.
 */
export function hayNeedCutByWaste({
  wasteShareBefore,
  wasteShareAfter,
}: {
  wasteShareBefore: number;
  wasteShareAfter: number;
}): { needPerTonEatenBefore: number; needPerTonEatenAfter: number; cutShare: number } {
  if (![wasteShareBefore, wasteShareAfter].every((share) => share >= 0 && share < 1))
    throw new RangeError('Waste is a share from 0 to below 1');
  const needPerTonEatenBefore = 1 / (1 - wasteShareBefore);
  const needPerTonEatenAfter = 1 / (1 - wasteShareAfter);
  return { needPerTonEatenBefore, needPerTonEatenAfter, cutShare: 1 - needPerTonEatenAfter / needPerTonEatenBefore };
}

export interface PartialBudget {
  /** Over the days, for one head, change against usual. */
  readonly days: number;
  readonly addedReturnsPerHead: Triple<Money>;
  /** Measured once in each arm: it has no interval of its own. Negative when the change costs less. */
  readonly addedCostsPerHead: Money;
  readonly netPerHead: Triple<Money>;
  readonly herd: { readonly head: number; readonly addedGain: Triple<Mass>; readonly net: Triple<Money> } | null;
  readonly verdict: 'pays' | 'costs' | 'too-small-to-tell';
  readonly words: readonly string[];
}

function moneyText(money: Money): string {
  return `${money.rounded().amount.toFixed(MINOR_DIGITS)} ${money.currency}`;
}

/**
 * Partial budget of a change of feeding: added returns less added costs, with the interval of the gain carried through.
 * Source of the layout of the sum: Boehlje and Eidman 1984, Farm Management, chapter 6 (partial budgeting; from
 * memory).
 */
export function partialBudget({
  differenceKgPerDay,
  days,
  valueOfGain,
  addedCostPerHeadDay,
  herdHead,
}: {
  differenceKgPerDay: Triple<number>;
  days: number;
  valueOfGain: PricePerMass;
  addedCostPerHeadDay: Money;
  herdHead: number | null;
}): PartialBudget {
  const addedReturnsPerHead = mapTriple(differenceKgPerDay, (kg) =>
    valueOfGain.for(Mass.kilograms(decimalFromFloat(kg, PLACES)).times(days)),
  );
  const addedCostsPerHead = addedCostPerHeadDay.times(days);
  const netPerHead = mapTriple(addedReturnsPerHead, (returns) => returns.minus(addedCostsPerHead));
  const zero = Money.zero(valueOfGain.currency);
  const verdict =
    netPerHead.low.compare(zero) > 0
      ? ('pays' as const)
      : netPerHead.high.compare(zero) < 0
        ? ('costs' as const)
        : ('too-small-to-tell' as const);
  const herd =
    herdHead === null
      ? null
      : {
          head: herdHead,
          addedGain: herdGainIfItHeld({ differenceKgPerDay, head: herdHead, days }),
          net: mapTriple(netPerHead, (money) => money.times(herdHead)),
        };
  const range = `${moneyText(netPerHead.low)} to ${moneyText(netPerHead.high)} per head over ${counted(days, 'day')}`;
  return {
    days,
    addedReturnsPerHead,
    addedCostsPerHead,
    netPerHead,
    herd,
    verdict,
    words: [
      verdict === 'pays'
        ? `At these prices the change pays: ${range}.`
        : verdict === 'costs'
          ? `At these prices the change loses money: ${range}.`
          : `Whether the change pays cannot be told: ${range}.`,
      'The interval carries the uncertainty of the gain only; feed was measured once in each arm and prices are ' +
        'taken as given.',
      ...(herd === null
        ? []
        : [
            `If it held over ${herd.head} head for ${counted(days, 'day')}: ${moneyText(herd.net.low)} to ` +
              `${moneyText(herd.net.high)}. A herd is not a trial: that is a sum, not a finding.`,
          ]),
    ],
  };
}
