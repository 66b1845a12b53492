import type { Currency, Money, PricePerMass } from '../../units/money.js';
import type { AnimalResult } from '../analysis-sets.js';
import type { ArmFeed, ArmOutcome } from '../arm-outcome.js';
import type { ArmsCompared, LeftOut, ResidualReport, TrialMethod } from '../compare-arms.js';
import type { DeathsDifference } from '../deaths-difference.js';
import type { PenFeed } from '../feed-of-pens.js';
import type { Equivalence } from '../equivalence.js';
import type { Futility } from '../futility.js';
import type { Triple } from '../if-it-held.js';
import type { PartialBudget } from '../partial-budget.js';
import type { SpendingKind } from '../planned-looks.js';
import type { TrialCaution } from '../trial-cautions.js';
import type { CarryOver } from '../design-analysis.js';
import type { PenFeedings, TrialDesign } from '../trial-design.js';
import type { TrialAnimal, TrialArm, TrialProtocol } from '../trial-records.js';
import type { Difference } from '../two-sample.js';
import type { VerdictInWords } from '../verdict.js';
import type { WordUnit } from '../words.js';

interface TrialLook {
  /** The looks named in the plan; null if the plan had one look, at the end. */
  readonly planned: { readonly fractions: readonly number[]; readonly kind: SpendingKind } | null;
  /** Which look this is: all looks taken are counted, from 1. */
  readonly number: number;
  /** Is the trial over? */
  readonly final: boolean;
}

export interface TrialToJudge {
  readonly question: string;
  readonly arms: readonly TrialArm[];
  readonly unit: 'animal' | 'pen';
  readonly protocol: TrialProtocol;
  /** Periods or blocks, and what was drawn for each pen; arms side by side if null or absent. */
  readonly designed?: { readonly design: TrialDesign; readonly feedings: readonly PenFeedings[] } | null;
  readonly animals: readonly TrialAnimal[];
  /** Method named in the plan. */
  readonly method: TrialMethod;
  readonly confidence: number;
  readonly worthwhileDifferenceKgPerDay: number | null;
  /** Between pens fed alike, beyond what their animals explain, as the plan names it; null takes a published figure. */
  readonly penToPenSdKgPerDay: number | null;
  /** Does the plan ask whether the feedings differ by less than the worthwhile difference? No if absent. */
  readonly equivalence?: boolean;
  /** Conditional power below which a planned look calls the trial futile; not asked if null or absent. */
  readonly futility?: number | null;
  readonly look: TrialLook;
  /** Day of the trial that the records reach to; the whole trial if absent. */
  readonly upToDay?: number;
  readonly currency: Currency;
  readonly feeds: readonly ArmFeed[];
  /** What single pens were fed; none if absent. */
  readonly penFeeds?: readonly PenFeed[];
  readonly otherCosts: readonly { readonly armId: string; readonly cost: Money }[];
  /** What a kilogram of gain is worth; null leaves the partial budget out. */
  readonly valueOfGain: PricePerMass | null;
  /** What a kilogram of live cattle is worth when they come onto the trial; null takes the value of gain. */
  readonly valueOfCattle: PricePerMass | null;
  readonly herdHead: number | null;
  readonly classOfAnimals: string;
  readonly season: string;
  readonly hay: string;
  readonly wordsIn: WordUnit;
}

export interface SetJudged {
  readonly set: 'as-drawn' | 'per-protocol';
  readonly units: readonly { readonly armId: string; readonly units: number; readonly head: number }[];
  readonly compared: ArmsCompared | null;
  readonly verdict: Omit<VerdictInWords, 'sentences'> | null;
}

export interface DesignJudged {
  readonly kind: TrialDesign['kind'];
  readonly pens: number;
  readonly periods: number;
  /** Between pens over all periods (or between blocks), and what is left from period to period or within blocks. */
  readonly betweenSdKgPerDay: number;
  readonly residualSdKgPerDay: number;
  readonly carryOver: CarryOver | null;
}

export interface ComparisonJudged {
  readonly usualArmId: string;
  readonly changeArmId: string;
  /** The answer: all animals as drawn, by the method of the plan. Null when an arm has fewer than two units. */
  readonly answer: Difference | null;
  /**
   * Only where each arm was fed as one herd: how far the two lay apart, how far any two herds fed alike do in 19 of 20
   * pairs, and herds in each arm that would show the worthwhile difference.
   */
  readonly twoHerds: {
    readonly differenceKgPerDay: number;
    readonly fedAlikeKgPerDay: number;
    readonly source: string;
    readonly herdsPerArm: number | null;
  } | null;
  /** Only in a design with periods or blocks that has an answer. */
  readonly designed: DesignJudged | null;
  /** Only when `answer` is null: the difference between the animals, which proves nothing about the feeding. */
  readonly animalsOnly: Difference | null;
  /** Only where the plan asks for it, and there is an answer and a worthwhile difference. */
  readonly equivalence: Equivalence | null;
  /** Only at a planned look before the last, where the plan asks for it. */
  readonly futility: Futility | null;
  readonly verdict: VerdictInWords;
  readonly asDrawn: SetJudged;
  readonly perProtocol: SetJudged;
  /**
   * The answer with gains put in for the animals that have none: the worst seen for those of the change and the best
   * for those of the usual feeding (`againstChange`), and the other way around. Null when every animal has a gain.
   */
  readonly missing: {
    readonly head: number;
    readonly againstChange: Difference;
    readonly againstUsual: Difference;
  } | null;
  /** Share that died on the change less that on the usual feeding; null where an arm had no head. */
  readonly deaths: DeathsDifference | null;
  /**
   * Change less usual over the whole trial for each head started, kilograms, with deads in; null where there is no
   * answer.
   */
  readonly addedWeightKg: Triple<number> | null;
  readonly checks: ResidualReport | null;
  readonly leftOut: readonly LeftOut[];
  readonly partialBudget: PartialBudget | null;
  /** Units needed in each arm to see the worthwhile difference, at the spread found here. */
  readonly nextTrial: { readonly sdKgPerDay: number; readonly unitsPerArm: number | null } | null;
}

export interface TrialJudged {
  readonly ok: true;
  readonly question: string;
  /** What was fed apart, by the books. */
  readonly unit: 'animal' | 'pen';
  readonly confidence: number;
  /** Confidence of each interval, once the error is shared among comparisons and looks. */
  readonly intervalConfidence: number;
  readonly look: {
    readonly number: number;
    readonly final: boolean;
    readonly planned: boolean;
    readonly peeking: boolean;
    readonly falseAlarmChanceUncorrected: number;
  };
  readonly arms: readonly ArmOutcome[];
  readonly comparisons: readonly ComparisonJudged[];
  readonly animals: readonly AnimalResult[];
  readonly growth: readonly {
    readonly armId: string;
    readonly day: number;
    readonly head: number;
    readonly meanWeightKg: number;
    readonly sdWeightKg: number | null;
  }[];
  readonly cautions: readonly TrialCaution[];
  readonly words: readonly string[];
  readonly limits: readonly string[];
}
