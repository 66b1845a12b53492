import { counted } from '../units/counted.js';
import { decimalFromFloat } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import { MINOR_DIGITS, Money, type PricePerMass } from '../units/money.js';
import { mapTriple, type Triple } from './if-it-held.js';
import {
  type ArmPerHead,
  type GainAndDeaths,
  lossOfOneDeath,
  perHeadStarted,
  shareDied,
  shareLived,
} from './per-head-started.js';

export interface PartialBudget {
  /** Over the days, for one head that was started, change against usual. */
  readonly days: number;
  /** Worth of the added gain of those that lived: it counts for the share of head that lived in the two arms. */
  readonly addedReturnsPerHead: Triple<Money>;
  /** What more deaths took: the animals at their start weight and the gain they would have made. Below zero: fewer. */
  readonly addedDeathLossPerHead: Money;
  /** Measured once in each arm: it has no interval of its own. Negative when the change costs less. */
  readonly addedCostsPerHead: Money;
  readonly netPerHead: Triple<Money>;
  readonly herd: { readonly head: number; readonly addedGain: Triple<Mass>; readonly net: Triple<Money> } | null;
  readonly verdict: 'pays' | 'costs' | 'too-small-to-tell';
  readonly words: readonly string[];
}

interface ArmOfBudget extends ArmPerHead {
  /** Feed and all else over the days for each head started: a head that died costs up to its death. */
  readonly costPerHeadStarted: Money;
}

interface BudgetGiven extends GainAndDeaths {
  readonly usual: ArmOfBudget;
  readonly change: ArmOfBudget;
  readonly valueOfGain: PricePerMass;
  /** Live cattle by weight; null takes the value of gain, which the words say. */
  readonly valueOfCattle: PricePerMass | null;
  readonly herdHead: number | null;
}

/** Floats from statistics become masses and money with this many places. */
const PLACES = 9;

/**
 * Partial budget of a change of feeding for each head started: worth of the added gain, less what deaths took, less
 * added costs; the interval is that of `perHeadStarted` at the prices given. Source of the layout of the sum: Boehlje
 * and Eidman 1984, Farm Management, chapter 6 (partial budgeting; from memory).
 */
export function partialBudget(given: BudgetGiven): PartialBudget {
  const { days, valueOfGain, valueOfCattle, herdHead, gain, usual, change } = given;
  const worth = {
    perKgGain: valueOfGain.in('kg').toNumber(),
    perKgCattle: (valueOfCattle ?? valueOfGain).in('kg').toNumber(),
  };
  const money = (amount: number): Money => Money.of(decimalFromFloat(amount, PLACES), valueOfGain.currency);
  const addedReturnsPerHead = mapTriple({ low: gain.low, estimate: gain.difference, high: gain.high }, (kg) =>
    valueOfGain.for(Mass.kilograms(decimalFromFloat(kg * shareLived(given), PLACES)).times(days)),
  );
  const addedCostsPerHead = change.costPerHeadStarted.minus(usual.costPerHeadStarted);
  const netPerHead = mapTriple(
    usual.died + change.died === 0 ? addedReturnsPerHead : mapTriple(perHeadStarted(given, worth), money),
    (returns) => returns.minus(addedCostsPerHead),
  );
  const zero = Money.zero(valueOfGain.currency);
  const addedWeight = perHeadStarted(given, { perKgGain: 1, perKgCattle: 1 });
  const budget = {
    days,
    addedReturnsPerHead,
    addedDeathLossPerHead: money((shareDied(change) - shareDied(usual)) * lossOfOneDeath(given, worth)),
    addedCostsPerHead,
    netPerHead,
    herd:
      herdHead === null
        ? null
        : {
            head: herdHead,
            addedGain: mapTriple(addedWeight, (kg) => Mass.kilograms(decimalFromFloat(kg, PLACES)).times(herdHead)),
            net: mapTriple(netPerHead, (each) => each.times(herdHead)),
          },
    verdict:
      netPerHead.low.compare(zero) > 0
        ? ('pays' as const)
        : netPerHead.high.compare(zero) < 0
          ? ('costs' as const)
          : ('too-small-to-tell' as const),
  };
  return { ...budget, words: budgetInWords(budget, given) };
}

function moneyText(money: Money): string {
  return `${money.rounded().amount.toFixed(MINOR_DIGITS)} ${money.currency}`;
}

function budgetInWords(
  { days, netPerHead, herd, verdict }: Omit<PartialBudget, 'words'>,
  { usual, change, valueOfCattle }: BudgetGiven,
): string[] {
  const range =
    `${moneyText(netPerHead.low)} to ${moneyText(netPerHead.high)} per head started over ` + counted(days, 'day');
  const answer = {
    pays: `At these prices the change pays: ${range}.`,
    costs: `At these prices the change does not pay, it loses money: ${range}.`,
    'too-small-to-tell': `Whether the change pays: can't tell. It is between ${range}.`,
  }[verdict];
  const died = usual.died + change.died;
  return [
    answer,
    died === 0
      ? 'The interval carries the uncertainty of the gain only: no animal died, feed was measured once in each arm, ' +
        'and prices are taken as given.'
      : `${change.died} of ${change.started} head died on the change and ${usual.died} of ${usual.started} on the ` +
        'usual feeding. The interval carries the uncertainty of the gain and of the deaths (delta method); feed was ' +
        'measured once in each arm, and prices are taken as given.',
    ...(died > 0 && valueOfCattle === null
      ? ['No price of live cattle was given: an animal that died counts at its start weight at the value of gain.']
      : []),
    ...(herd === null
      ? []
      : [
          `If it held over ${herd.head} head for ${counted(days, 'day')}: ${moneyText(herd.net.low)} to ` +
            `${moneyText(herd.net.high)}. A herd is not a trial: that is a sum, not a finding.`,
        ]),
  ];
}
