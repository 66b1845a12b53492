import { type Refusal, refused } from '../outcome/outcome.js';
import { type AnimalResult, animalResults } from './analysis-sets.js';
import { resultsByPeriod } from './design-rows.js';
import { armOutcome, type ArmOutcome } from './arm-outcome.js';
import { judgeAnswered } from './judgement/answered-comparison.js';
import { compareSet, type Comparison } from './judgement/comparison.js';
import { growthOf } from './judgement/growth.js';
import type { ComparisonJudged, TrialJudged, TrialToJudge } from './judgement/judgement.js';
import { missingBounds } from './judgement/missing-bounds.js';
import { type SharedError, sharedErrorOf } from './judgement/shared-error.js';
import { problemsOfTrial } from './judgement/trial-problems.js';
import { trialWideCautions } from './judgement/trial-wide-cautions.js';
import { unitFed } from './judgement/unit-fed.js';
import { judgeUnanswered } from './judgement/unanswered-comparison.js';
import type { TrialCaution } from './trial-cautions.js';
import type { TrialArm } from './trial-records.js';
import type { ArmsCompared } from './compare-arms.js';
import type { Difference } from './two-sample.js';
import { limitsInWords, type VerdictInWords } from './verdict.js';
import { confidenceText } from './words.js';

/**
 * Judges a feeding trial: the difference in daily gain of each change from the usual feeding with its interval, by all
 * animals as drawn (intention to treat) and by those that followed the protocol; residual checks, influence and the
 * effect of the missing; feed, waste, conversion, cost of gain, partial budget; and words that claim no more than the
 * interval. Kilograms, days, decimals for money.
 *
 * The unit is what was fed apart by the books: where an arm was fed as one pen or herd, that is one unit. Several
 * changes share the error after Dunnett, or by Bonferroni (see shared-error.ts). A planned look uses its spending
 * boundary; a look that was not planned is marked as peeking and its interval is widened by Bonferroni over the looks.
 * In a design with periods or blocks each pen is held against itself or its neighbor (see design-analysis.ts).
 * Sources: see two-sample.ts, analysis-of-covariance.ts, planned-looks.ts, residual-checks.ts; the pen as unit:
 * trial.data.ts.
 * @returns a refusal with codes `trial.arms`, `trial.confidence`, `trial.worthwhile`, `trial.animal-twice`,
 * `trial.unknown-arm`, `trial.weight`, `trial.pen-in-two-arms`, `trial.looks`, `trial.currency`.
 */
export function judgeTrial(asPlanned: TrialToJudge): TrialJudged | Refusal {
  const trial = { ...asPlanned, unit: unitFed(asPlanned) };
  const problems = problemsOfTrial(trial);
  const usual = trial.arms.find((arm) => arm.role === 'usual');
  if (problems.length > 0 || !usual) return refused(problems);
  const results = resultsOf(trial);
  const error = sharedErrorOf(trial, results);
  const outcomes = outcomesOf(trial, results);
  const compared = comparisonsOf({ trial, usual, results, outcomes, error }).map(judgeComparison);
  const comparisons = compared.map((one) => one.judged);
  const { planned, peeking, falseAlarmChanceUncorrected } = error;
  return {
    ok: true,
    question: trial.question,
    unit: trial.unit,
    confidence: trial.confidence,
    intervalConfidence: error.confidence,
    look: { number: trial.look.number, final: trial.look.final, planned, peeking, falseAlarmChanceUncorrected },
    arms: outcomes,
    comparisons,
    animals: results,
    growth: growthOf(trial),
    cautions: [...trialWideCautions({ trial, asPlanned, results, error }), ...compared.flatMap((one) => one.cautions)],
    words: [
      ...comparisons.flatMap((comparison) => comparison.verdict.sentences),
      ...sharingInWords(trial, error, comparisons.length),
    ],
    limits: limitsInWords({ classOfAnimals: trial.classOfAnimals, season: trial.season, hay: trial.hay }),
  };
}

/** What a trial answers of one change, and nothing of what stands around it. */
export interface TrialAnswer {
  readonly changeArmId: string;
  /** Null where the trial cannot tell. */
  readonly answer: Difference | null;
  readonly verdict: Omit<VerdictInWords, 'sentences'> | null;
}

/**
 * The answer of each change alone, by the very steps of `judgeTrial`: for simulations that ask thousands of trials for
 * their verdict and for nothing else. @returns the refusals of `judgeTrial`.
 */
export function answersOfTrial(asPlanned: TrialToJudge): readonly TrialAnswer[] | Refusal {
  const trial = { ...asPlanned, unit: unitFed(asPlanned) };
  const problems = problemsOfTrial(trial);
  const usual = trial.arms.find((arm) => arm.role === 'usual');
  if (problems.length > 0 || !usual) return refused(problems);
  const results = resultsOf(trial);
  const error = sharedErrorOf(trial, results);
  return comparisonsOf({ trial, usual, results, outcomes: [], error }).map((comparison) => {
    const { compared, verdict } = compareSet(comparison, 'as-drawn').judged;
    const told = hasInterval(compared);
    return {
      changeArmId: comparison.change.id,
      answer: told ? compared.primary : null,
      verdict: told ? verdict : null,
    };
  });
}

// Without spread there is no interval: gains that do not vary are a fault in the records, not an effect of the feeding.
function hasInterval(compared: ArmsCompared | null): compared is ArmsCompared {
  return compared !== null && compared.primary.standardError !== 0;
}

function resultsOf({ protocol, animals, designed, upToDay }: TrialToJudge): AnimalResult[] {
  return designed
    ? resultsByPeriod({ ...designed, protocol }, animals, upToDay)
    : animalResults({ protocol, animals, ...(upToDay === undefined ? {} : { upToDay }) });
}

function outcomesOf(
  { arms, feeds, otherCosts, currency, penFeeds = [], confidence }: TrialToJudge,
  results: readonly AnimalResult[],
): ArmOutcome[] {
  return arms.map((arm) =>
    armOutcome({
      armId: arm.id,
      results,
      feeds,
      otherCosts: otherCosts.find((other) => other.armId === arm.id)?.cost ?? null,
      currency,
      penFeeds,
      confidence,
    }),
  );
}

/** Each change of the trial against its usual feeding. */
function comparisonsOf({
  outcomes,
  ...shared
}: Omit<Comparison, 'change' | 'usualOutcome' | 'changeOutcome'> & {
  readonly outcomes: readonly ArmOutcome[];
}): Comparison[] {
  const outcomeOf = (arm: TrialArm) => outcomes.find((outcome) => outcome.armId === arm.id);
  return shared.trial.arms
    .filter((arm) => arm.role === 'change')
    .map((change) => ({
      ...shared,
      change,
      usualOutcome: outcomeOf(shared.usual),
      changeOutcome: outcomeOf(change),
    }));
}

function judgeComparison(comparison: Comparison): { judged: ComparisonJudged; cautions: TrialCaution[] } {
  const asDrawn = compareSet(comparison, 'as-drawn');
  const perProtocol = compareSet(comparison, 'per-protocol');
  const missing = missingBounds(comparison);
  const { compared } = asDrawn.judged;
  return hasInterval(compared)
    ? judgeAnswered(comparison, { asDrawn, perProtocol, compared }, missing)
    : judgeUnanswered(comparison, { asDrawn, perProtocol }, missing);
}

/** Says that the error is shared, where it is. */
function sharingInWords(
  trial: TrialToJudge,
  { confidence, dunnett, planned, peeking }: SharedError,
  changes: number,
): string[] {
  if (changes <= 1 && !planned && !peeking) return [];
  return [
    `Each interval is given at ${confidenceText(confidence)}, so that all ` +
      `${changes > 1 ? `${changes} comparisons` : 'looks'} together keep ` +
      `${confidenceText(trial.confidence)}${dunnett ? ' (Dunnett)' : ''}.`,
  ];
}
