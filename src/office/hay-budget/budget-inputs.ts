import type { BalanceInterval } from '../../core/budget/balance-interval.js';
import type { ColdLeftOut } from '../../core/cautions/cold-left-out.js';
import type { HayBudgetInput, LotOnHand } from '../../core/budget/hay-budget.js';
import type { HerdPlan } from '../../core/budget/hay-need.js';
import type { BudgetLoss } from '../../core/budget/loss-figures.js';
import type { RationLot } from '../../core/ration/ration.js';
import type { RequirementSet } from '../../core/requirements/requirement-set.js';
import type { HeadEvent } from '../../core/standing/head-days.js';
import type { Decimal } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import type { Currency, PricePerMass } from '../../core/units/money.js';
import type { Words } from '../../core/units/wording.js';
import type { JudgedWeather } from '../../desk/facts/weather-choice.js';
import type { HerdRow } from '../../records/cattle/herds/herd.read.js';
import type { LotFacts } from '../../desk/facts/lot-facts.js';
import type { HayLotRow } from '../../records/hay/lots/hay-lot.read.js';
import type { Flag } from '../report.schema.js';
import type { PlanIn } from './hay-budget.schema.js';

/**
 * How far back, in days before the plan, own feedings tell how a herd is fed and tickets a price; common practice, no
 * source.
 */
export const OWN_FIGURES_DAYS = 366;

/** What a head eats in a month, and the herd on the day that represents it, in the weather planned with. */
export interface IntakeOfMonth {
  month: string;
  dryMatterIntakePerHeadDay: Mass;
  onDay: string;
  head: number;
  bodyWeight: Mass;
  /** As judged; `null` if the herd cannot be judged then. */
  need: RequirementSet | null;
  /** `null` if none is known. */
  weather: JudgedWeather | null;
  /** What is left out of the need where no weather is known. */
  coldLeftOut: ColdLeftOut | null;
  ration: { id: string; name: string; carriedForward: boolean } | null;
  /** What was predicted before cows were corrected, where any were: the mean of the month, as the intake is. */
  beforeCorrectionKgPerDay?: number;
  /** From the ration in use. */
  dryMatter?: Decimal;
  kinds?: { hayKind: string; share: Decimal }[];
}

export interface HerdInput {
  herd: HerdRow;
  headBasis: 'history-carried-forward' | 'stated';
  headOnFirstDay: number;
  headDays: number;
  intakeBasis: string;
  intakeByMonth: IntakeOfMonth[];
  /** Where the intake comes from and, if from the equations, whether cows of the herd were corrected. */
  intakeFrom: 'equations' | 'corrected-equations' | 'stated' | 'ration';
  dryMatter: Decimal;
  dryMatterBasis: string;
  restsOnBookValues: boolean;
  waste: BudgetLoss;
  /** Where leftovers of too large an offer were weighed: how much of them counts. */
  wasteNote?: Words;
  kinds: { hayKind: string; share: Decimal }[];
  headEvents: HeadEvent[];
  /** The first of its days whose hay is still to be laid. */
  feedsFrom: string;
}

/** A herd with cattle during the budget that could not be judged, so nothing is counted for it. */
export interface NotCounted {
  herdId: string;
  herd: string;
  headDays: number;
  /** What is wrong and what to enter. */
  because: string;
  /** The field that is missing or wrong. */
  field: string;
}

export interface LotInput {
  row: HayLotRow;
  balance: Mass;
  /** How sure the balance is, from the bales that were weighed. */
  sureness: BalanceInterval;
  storedOn: string;
  loss: BudgetLoss;
  /** On the day that feeding starts from, as the judge knows it. */
  facts: LotFacts;
}

/** Everything a budget is based on, read once; the core's inputs are made from it, at typical losses or at a bound. */
export interface BudgetInputs {
  from: string;
  /** The day after the last. */
  end: string;
  plan: PlanIn;
  currency: Currency;
  herds: HerdInput[];
  notCounted: NotCounted[];
  lots: LotInput[];
  /** Lots that are counted as supply though they are under a danger caution, with what each caution is called. */
  inDanger: { lot: LotInput; titles: string[] }[];
  prices: { hayKind: string; price: PricePerMass }[];
  flags: Flag[];
}

/** The hay on hand, each lot with its tests. */
export interface KnownHay {
  lots: readonly LotInput[];
  rationLots: ReadonlyMap<string, RationLot>;
}

export function knownHay(lots: readonly LotInput[]): KnownHay {
  return {
    lots,
    rationLots: new Map(lots.map(({ row, facts }) => [row.id, facts.lot])),
  };
}

/**
 * The core's input at typical losses and balances, or at a bound: low losses with the most hay that may be there, high
 * losses with the least.
 */
export function coreInput(inputs: BudgetInputs, at: 'low' | 'typical' | 'high'): HayBudgetInput {
  return {
    from: inputs.from,
    until: inputs.end,
    currency: inputs.currency,
    prices: inputs.prices,
    substituteKinds: inputs.plan.substituteKinds,
    herds: inputs.herds.map((one): HerdPlan => ({
      herdId: one.herd.id,
      headEvents: one.headEvents,
      feedsFrom: one.feedsFrom,
      dryMatterIntakePerHeadDay: one.intakeByMonth[0]?.dryMatterIntakePerHeadDay ?? Mass.zero,
      ofMonths: one.intakeByMonth.map(({ month, dryMatterIntakePerHeadDay, dryMatter, kinds }) => ({
        month,
        dryMatterIntakePerHeadDay,
        ...(dryMatter === undefined ? {} : { dryMatter }),
        ...(kinds === undefined ? {} : { kinds }),
      })),
      dryMatter: one.dryMatter,
      waste: one.waste[at],
      wasteConvention: inputs.plan.wasteConvention,
      kinds: one.kinds,
    })),
    lots: inputs.lots.map((one): LotOnHand => ({
      lotId: one.row.id,
      hayKind: one.row.hay_kind,
      balance: { low: one.sureness.high, typical: one.balance, high: one.sureness.low }[at],
      storedOn: one.storedOn,
      countedOn: inputs.from,
      seasonLoss: one.loss[at],
    })),
  };
}
