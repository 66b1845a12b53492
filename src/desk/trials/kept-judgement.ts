import type { AnimalResult } from '../../core/trial/analysis-sets.js';
import type { ArmOutcome } from '../../core/trial/arm-outcome.js';
import type { Gap } from '../../core/trial/find-gaps.js';
import { herdGainIfItHeld, mapTriple, type Triple } from '../../core/trial/if-it-held.js';
import type { ComparisonJudged, SetJudged, TrialJudged } from '../../core/trial/judgement/judgement.js';
import type { TrialCaution } from '../../core/trial/trial-cautions.js';
import type { Difference } from '../../core/trial/two-sample.js';
import type { Decimal } from '../../core/units/decimal.js';
import type { Mass, MassUnit } from '../../core/units/mass.js';
import type { Money } from '../../core/units/money.js';

/** A judgement as stored: kilograms as numbers or text, no money. */
export interface KeptJudgement {
  look: TrialJudged['look'];
  /** What was fed apart, by the books; the unit of the plan in judgements made before this was kept. */
  unit?: TrialJudged['unit'];
  confidence: number;
  intervalConfidence: number;
  arms: KeptArm[];
  comparisons: KeptComparison[];
  growth: TrialJudged['growth'];
  animals: readonly AnimalResult[];
  cautions: readonly TrialCaution[];
  words: readonly string[];
  limits: readonly string[];
}

interface KeptArm extends Omit<ArmOutcome, 'hay' | 'cost' | 'headFinished' | 'gainOverTrial' | 'feedOfPens'> {
  /** Left out of judgements made before these were kept. */
  headFinished?: number;
  gainOverTrial?: ArmOutcome['gainOverTrial'];
  feedOfPens?: ArmOutcome['feedOfPens'];
  hay:
    | (Record<
        | 'fed'
        | 'eaten'
        | 'wasted'
        | 'refused'
        | 'fedPerHeadDay'
        | 'eatenPerHeadDay'
        | 'wastedPerHeadDay'
        | 'dryMatterEaten',
        string
      > &
        Record<'wastedShareOfFed', number> &
        Record<'fedPerGain' | 'eatenPerGain' | 'wastedPerGain' | 'conversion', number | null>)
    | null;
}

interface KeptSet {
  units: SetJudged['units'];
  answer: Difference | null;
  welch: Difference | null;
  verdict: SetJudged['verdict'];
  equalSlopes: { f: number; p: number } | null;
}

export interface KeptComparison extends Omit<
  ComparisonJudged,
  | 'asDrawn'
  | 'perProtocol'
  | 'partialBudget'
  | 'checks'
  | 'deaths'
  | 'addedWeightKg'
  | 'twoHerds'
  | 'equivalence'
  | 'designed'
  | 'futility'
> {
  /** These are left out of judgements made before they were kept. */
  deaths?: ComparisonJudged['deaths'];
  twoHerds?: ComparisonJudged['twoHerds'];
  equivalence?: ComparisonJudged['equivalence'];
  designed?: ComparisonJudged['designed'];
  futility?: ComparisonJudged['futility'];
  asDrawn: KeptSet;
  perProtocol: KeptSet;
  checks: {
    normality: { w: number; p: number } | null;
    equalVariance: { f: number; p: number } | null;
    influence: NonNullable<ComparisonJudged['checks']>['influence'];
  } | null;
  ifItHeld: { head: number; days: number; addedGainKg: Triple<string> } | null;
}

/** A price by weight, as a person typed it. */
export interface TypedPrice {
  amount: string;
  currency: string;
  per: MassUnit;
}

/** The money of a judgement, in a table that only those who see prices can read. */
export interface KeptMoney {
  currency: string;
  arms: {
    armId: string;
    feed: string;
    other: string;
    perHeadDay: string;
    /** These three are left out of judgements made before they were kept. */
    perHeadStarted?: string | null;
    perHeadFinished?: string | null;
    totalPerKgGainDeadsIn?: string | null;
    feedPerKgGain: string | null;
    totalPerKgGain: string | null;
  }[];
  valueOfGainPerKg: string | null;
  /** As the request gave it; left out of judgements made before this was kept. */
  valueOfGainTyped?: TypedPrice;
  /** Live cattle by weight, where a price was given. */
  valueOfCattlePerKg?: string;
  valueOfCattleTyped?: TypedPrice;
  budgets: {
    changeArmId: string;
    days: number;
    addedReturns: Triple<string>;
    /** Left out of judgements made before deaths were counted in the money. */
    addedDeathLoss?: string;
    addedCosts: string;
    net: Triple<string>;
    herd: { head: number; addedGainKg: Triple<string>; net: Triple<string> } | null;
    verdict: 'pays' | 'costs' | 'too-small-to-tell';
    words: readonly string[];
  }[];
}

/** How the books departed from the protocol, as known then. */
export type KeptGap = Omit<Gap, 'code'> & { code: Gap['code'] | 'head-differ' };

const massText = (mass: Mass): string => mass.kilograms.toDecimalPlaces(9).toFixed();
const share = (value: Decimal): number => Number(value.toFixed(6));
const shareOrNull = (value: Decimal | null): number | null => (value === null ? null : share(value));
const moneyText = (money: Money): string => money.amount.toDecimalPlaces(10).toFixed();
const moneyOrNull = (money: Money | null): string | null => (money === null ? null : moneyText(money));

export function keepJudgement(judged: TrialJudged, herd: { head: number; days: number } | null): KeptJudgement {
  return {
    look: judged.look,
    unit: judged.unit,
    confidence: judged.confidence,
    intervalConfidence: judged.intervalConfidence,
    growth: judged.growth,
    animals: judged.animals,
    cautions: judged.cautions,
    words: judged.words,
    limits: judged.limits,
    arms: judged.arms.map(({ hay, cost: _cost, ...arm }) => ({
      ...arm,
      hay:
        hay === null
          ? null
          : {
              fed: massText(hay.fed),
              eaten: massText(hay.eaten),
              wasted: massText(hay.wasted),
              refused: massText(hay.refused),
              fedPerHeadDay: massText(hay.fedPerHeadDay),
              eatenPerHeadDay: massText(hay.eatenPerHeadDay),
              wastedPerHeadDay: massText(hay.wastedPerHeadDay),
              dryMatterEaten: massText(hay.dryMatterEaten),
              wastedShareOfFed: share(hay.wastedShareOfFed),
              fedPerGain: shareOrNull(hay.fedPerGain),
              eatenPerGain: shareOrNull(hay.eatenPerGain),
              wastedPerGain: shareOrNull(hay.wastedPerGain),
              conversion: shareOrNull(hay.conversion),
            },
    })),
    comparisons: judged.comparisons.map(
      ({ partialBudget: _budget, addedWeightKg, asDrawn, perProtocol, checks, ...comparison }) => ({
        ...comparison,
        asDrawn: keepSet(asDrawn),
        perProtocol: keepSet(perProtocol),
        checks:
          checks === null
            ? null
            : {
                normality: checks.normality === null ? null : { w: checks.normality.w, p: checks.normality.p },
                equalVariance:
                  checks.equalVariance === null ? null : { f: checks.equalVariance.f, p: checks.equalVariance.p },
                influence: checks.influence,
              },
        ifItHeld:
          herd === null || addedWeightKg === null
            ? null
            : {
                ...herd,
                addedGainKg: mapTriple(
                  herdGainIfItHeld({
                    differenceKgPerDay: mapTriple(addedWeightKg, (kg) => kg / herd.days),
                    ...herd,
                  }),
                  massText,
                ),
              },
      }),
    ),
  };
}

function keepSet({ units, compared, verdict }: SetJudged): KeptSet {
  const slopes = compared?.covariance?.equalSlopes ?? null;
  return {
    units,
    answer: compared?.primary ?? null,
    welch: compared?.welch ?? null,
    verdict,
    equalSlopes: slopes === null ? null : { f: slopes.f, p: slopes.p },
  };
}

export interface KeptPrice {
  perKg: string;
  typed: TypedPrice;
}

/** Null if no arm has a cost: then there is no money to store. */
export function keepMoney(
  judged: TrialJudged,
  currency: string,
  { valueOfGain, valueOfCattle }: Record<'valueOfGain' | 'valueOfCattle', KeptPrice | null>,
): KeptMoney | null {
  const arms = judged.arms.flatMap(({ armId, cost }) =>
    cost === null
      ? []
      : [
          {
            armId,
            feed: moneyText(cost.feed),
            other: moneyText(cost.other),
            perHeadDay: moneyText(cost.perHeadDay),
            perHeadStarted: moneyOrNull(cost.perHeadStarted),
            perHeadFinished: moneyOrNull(cost.perHeadFinished),
            totalPerKgGainDeadsIn: moneyOrNull(cost.totalCostPerKgGainDeadsIn),
            feedPerKgGain: moneyOrNull(cost.feedCostPerKgGain),
            totalPerKgGain: moneyOrNull(cost.totalCostPerKgGain),
          },
        ],
  );
  if (arms.length === 0) return null;
  return {
    currency,
    arms,
    valueOfGainPerKg: valueOfGain?.perKg ?? null,
    ...(valueOfGain === null ? {} : { valueOfGainTyped: valueOfGain.typed }),
    ...(valueOfCattle === null
      ? {}
      : { valueOfCattlePerKg: valueOfCattle.perKg, valueOfCattleTyped: valueOfCattle.typed }),
    budgets: judged.comparisons.flatMap(({ changeArmId, partialBudget: budget }) =>
      budget === null
        ? []
        : [
            {
              changeArmId,
              days: budget.days,
              addedReturns: mapTriple(budget.addedReturnsPerHead, moneyText),
              addedDeathLoss: moneyText(budget.addedDeathLossPerHead),
              addedCosts: moneyText(budget.addedCostsPerHead),
              net: mapTriple(budget.netPerHead, moneyText),
              herd:
                budget.herd === null
                  ? null
                  : {
                      head: budget.herd.head,
                      addedGainKg: mapTriple(budget.herd.addedGain, massText),
                      net: mapTriple(budget.herd.net, moneyText),
                    },
              verdict: budget.verdict,
              words: budget.words,
            },
          ],
    ),
  };
}
