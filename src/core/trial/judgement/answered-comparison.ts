import { leaveOneOut, residualReport, type ArmsCompared, type LeftOut, type ResidualReport } from '../compare-arms.js';
import { describe } from '../descriptive.js';
import { partialBudget, type PartialBudget } from '../if-it-held.js';
import { unitsPerArm } from '../power.js';
import type { TrialCaution } from '../trial-cautions.js';
import { TRIAL_CHOICES } from '../trial.data.js';
import type { Difference } from '../two-sample.js';
import { verdictInWords, type VerdictInWords } from '../verdict.js';
import { percent } from '../words.js';
import type { Comparison, SetCompared } from './comparison.js';
import { answerCautions } from './answer-cautions.js';
import type { ComparisonJudged } from './judgement.js';

/** A comparison that has an answer, with the steps that led to it. */
export interface Answered {
  readonly comparison: Comparison;
  readonly asDrawn: SetCompared;
  readonly perProtocol: SetCompared;
  readonly compared: ArmsCompared;
  /** The answer: all animals as drawn, by the method of the plan. */
  readonly answer: Difference;
  readonly missing: ComparisonJudged['missing'];
  readonly verdict: VerdictInWords;
  readonly checks: ResidualReport;
  readonly leftOut: readonly LeftOut[];
}

/** Judges a comparison whose arms could be compared. */
export function judgeAnswered(
  comparison: Comparison,
  sets: { readonly asDrawn: SetCompared; readonly perProtocol: SetCompared; readonly compared: ArmsCompared },
  missing: ComparisonJudged['missing'],
): { judged: ComparisonJudged; cautions: TrialCaution[] } {
  const answered = answeredBy(comparison, sets, missing);
  const { usual, change } = comparison;
  const { asDrawn, perProtocol, answer, verdict, checks, leftOut } = answered;
  const nextTrial = nextTrialOf(answered);
  return {
    judged: {
      usualArmId: usual.id,
      changeArmId: change.id,
      answer,
      animalsOnly: null,
      verdict: {
        ...verdict,
        sentences: [...verdict.sentences, ...unitsNeededInWords(answered, nextTrial), ...peekingInWords(comparison)],
      },
      asDrawn: asDrawn.judged,
      perProtocol: perProtocol.judged,
      missing,
      checks,
      leftOut,
      partialBudget: partialBudgetOf(answered),
      nextTrial,
    },
    cautions: answerCautions(answered),
  };
}

function answeredBy(
  comparison: Comparison,
  { asDrawn, perProtocol, compared }: Pick<Answered, 'asDrawn' | 'perProtocol' | 'compared'>,
  missing: ComparisonJudged['missing'],
): Answered {
  const { trial, usual, change, error } = comparison;
  const { confidence } = error;
  const answer = compared.primary;
  const units = { usual: asDrawn.usualUnits, change: asDrawn.changeUnits };
  return {
    comparison,
    asDrawn,
    perProtocol,
    compared,
    answer,
    missing,
    verdict: verdictInWords({
      interval: {
        differenceKgPerDay: answer.difference,
        lowKgPerDay: answer.low,
        highKgPerDay: answer.high,
        confidence,
      },
      worthwhileKgPerDay: trial.worthwhileDifferenceKgPerDay,
      changeName: change.name,
      usualName: usual.name,
      wordsIn: trial.wordsIn,
    }),
    checks: residualReport({ ...units, compared }),
    leftOut: leaveOneOut({ ...units, compared, confidence }),
  };
}

/** What it would take for a trial to see the worthwhile difference at the spread found in this one. */
function nextTrialOf({ comparison, asDrawn }: Answered): ComparisonJudged['nextTrial'] {
  const { trial, error } = comparison;
  const worthwhile = trial.worthwhileDifferenceKgPerDay;
  if (worthwhile === null) return null;
  const sd = Math.sqrt(
    (describe(asDrawn.usualUnits.map((unit) => unit.gainKgPerDay)).variance +
      describe(asDrawn.changeUnits.map((unit) => unit.gainKgPerDay)).variance) /
      2,
  );
  return {
    sdKgPerDay: sd,
    unitsPerArm: unitsPerArm({
      difference: worthwhile,
      sd,
      alpha: error.alpha,
      power: TRIAL_CHOICES.power.value,
      most: 100_000,
    }),
  };
}

function unitsNeededInWords({ comparison, verdict }: Answered, next: ComparisonJudged['nextTrial']): string[] {
  if (verdict.verdict !== 'too-small-to-tell' || !next?.unitsPerArm) return [];
  return [
    `By the spread seen here, ${next.unitsPerArm} ${comparison.trial.unit === 'pen' ? 'pens' : 'head'} per ` +
      'arm would have been needed to see the worthwhile difference in ' +
      `${percent(TRIAL_CHOICES.power.value)} of trials.`,
  ];
}

function peekingInWords({ trial, error }: Comparison): string[] {
  if (!error.peeking) return [];
  return trial.look.final
    ? ['The trial was looked at before its end without a plan for it; the interval is wider for that.']
    : ['This is a look at the trial that was not planned: it is not the last word.'];
}

/** Null without a value of gain, or where an arm has no cost. */
function partialBudgetOf({ comparison, answer }: Answered): PartialBudget | null {
  const { trial, usualOutcome, changeOutcome } = comparison;
  const [usualCost, changeCost] = [usualOutcome?.cost, changeOutcome?.cost];
  if (trial.valueOfGain === null || !usualCost || !changeCost) return null;
  return partialBudget({
    differenceKgPerDay: { low: answer.low, estimate: answer.difference, high: answer.high },
    days: trial.protocol.lengthDays,
    valueOfGain: trial.valueOfGain,
    addedCostPerHeadDay: changeCost.perHeadDay.minus(usualCost.perHeadDay),
    herdHead: trial.herdHead,
  });
}
