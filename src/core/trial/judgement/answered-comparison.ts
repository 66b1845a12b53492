import { leavePensOut, residualsOfDesign } from '../compare-design.js';
import { leaveOneOut, residualReport, type ArmsCompared, type LeftOut, type ResidualReport } from '../compare-arms.js';
import { describe } from '../descriptive.js';
import { partialBudget, type PartialBudget } from '../partial-budget.js';
import { type GainAndDeaths, perHeadStarted } from '../per-head-started.js';
import { unitsForDesign } from '../design-power.js';
import { unitsByAnalysis } from '../power-of-analysis.js';
import { type Equivalence, equivalenceInWords, twoOneSidedTests } from '../equivalence.js';
import { type Futility, futilityInWords, futilityOf } from '../futility.js';
import { lookBoundaries } from '../planned-looks.js';
import type { TrialArm } from '../trial-records.js';
import type { Money } from '../../units/money.js';
import type { TrialCaution } from '../trial-cautions.js';
import { TRIAL_CHOICES } from '../trial.data.js';
import type { Difference } from '../two-sample.js';
import { verdictInWords, type VerdictInWords } from '../verdict.js';
import { percent } from '../words.js';
import type { Comparison, SetCompared } from './comparison.js';
import { answerCautions } from './answer-cautions.js';
import { designInWords, designJudged } from './designed.js';
import { deathsOf, gainAndDeaths } from './deaths.js';
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
  const equivalence = equivalenceOf(answered);
  const futility = futilityAtLook(answered);
  const known = gainAndDeaths(comparison);
  return {
    judged: {
      usualArmId: usual.id,
      changeArmId: change.id,
      answer,
      twoHerds: null,
      designed: designJudged(comparison, answered.compared),
      animalsOnly: null,
      equivalence,
      futility,
      verdict: {
        ...verdict,
        sentences: [
          ...verdict.sentences,
          ...designInWords(comparison, answered.compared),
          ...equivalenceTold(comparison, equivalence),
          ...futilityTold(comparison, futility),
          ...unitsNeededInWords(answered, nextTrial),
          ...peekingInWords(comparison),
        ],
      },
      asDrawn: asDrawn.judged,
      perProtocol: perProtocol.judged,
      missing,
      deaths: deathsOf(comparison),
      addedWeightKg: known === null ? null : perHeadStarted(known, { perKgGain: 1, perKgCattle: 1 }),
      checks,
      leftOut,
      partialBudget: partialBudgetOf(comparison, known),
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
  const units = { usual: asDrawn.usualUnits, change: asDrawn.changeUnits, others: asDrawn.otherUnits };
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
    checks: compared.designed ? residualsOfDesign(compared.designed) : residualReport({ ...units, compared }),
    leftOut: compared.designed
      ? leavePensOut(compared.designed, confidence)
      : leaveOneOut({ ...units, compared, confidence }),
  };
}

function equivalenceOf({ comparison, answer }: Answered): Equivalence | null {
  const { equivalence = false, worthwhileDifferenceKgPerDay: marginKgPerDay } = comparison.trial;
  if (!equivalence || marginKgPerDay === null) return null;
  return twoOneSidedTests(answer, { marginKgPerDay, alpha: 1 - comparison.error.separateConfidence });
}

function equivalenceTold({ trial, usual, change }: Comparison, found: Equivalence | null): string[] {
  if (found === null) return [];
  return [equivalenceInWords(found, { changeName: change.name, usualName: usual.name, wordsIn: trial.wordsIn })];
}

function futilityAtLook({ comparison, answer }: Answered): Futility | null {
  const { trial, error } = comparison;
  const { futility = null, worthwhileDifferenceKgPerDay: worthwhile, look } = trial;
  const share = look.planned?.fractions[look.number - 1];
  if (futility === null || worthwhile === null || !error.planned || look.final || !look.planned) return null;
  if (share === undefined || share >= 1) return null;
  const changes = trial.arms.filter((arm) => arm.role === 'change').length;
  const alpha = (1 - trial.confidence) / changes;
  const last = lookBoundaries({ ...look.planned, alpha }).at(-1);
  if (!last) return null;
  return futilityOf(answer, {
    share,
    finalAlpha: last.nominalAlpha,
    worthwhileKgPerDay: worthwhile,
    threshold: futility,
  });
}

function futilityTold({ trial, change }: Comparison, found: Futility | null): string[] {
  const { worthwhileDifferenceKgPerDay: worthwhileKgPerDay, wordsIn } = trial;
  if (found === null || worthwhileKgPerDay === null) return [];
  return [futilityInWords(found, { changeName: change.name, worthwhileKgPerDay, wordsIn })];
}

/** What it would take for a trial to see the worthwhile difference at the spread found in this one. */
function nextTrialOf({ comparison, asDrawn, compared }: Answered): ComparisonJudged['nextTrial'] {
  const { trial, error } = comparison;
  const worthwhile = trial.worthwhileDifferenceKgPerDay;
  if (worthwhile === null) return null;
  if (trial.designed && compared.designed) {
    const { residualSdKgPerDay: sdWithin, betweenSdKgPerDay: sdBetween } = compared.designed.answer;
    const planned = { design: trial.designed.design, arms: trial.arms, unitsPerArm: 1, sdWithin, sdBetween, lost: 0 };
    return {
      sdKgPerDay: sdWithin,
      unitsPerArm:
        sdWithin > 0 ? unitsForDesign({ ...planned, alpha: error.alpha }, worthwhile, TRIAL_CHOICES.power.value) : null,
    };
  }
  const sd = Math.sqrt(
    (describe(asDrawn.usualUnits.map((unit) => unit.gainKgPerDay)).variance +
      describe(asDrawn.changeUnits.map((unit) => unit.gainKgPerDay)).variance) /
      2,
  );
  return {
    sdKgPerDay: sd,
    unitsPerArm: unitsByAnalysis({
      method: trial.method,
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
function partialBudgetOf(
  { trial, usualOutcome, changeOutcome, ...comparison }: Comparison,
  known: GainAndDeaths | null,
): PartialBudget | null {
  const [usualCost, changeCost] = [usualOutcome?.cost, changeOutcome?.cost];
  if (known === null || trial.valueOfGain === null || !usualCost || !changeCost) return null;
  const costOf = (arm: TrialArm, perHeadDay: Money) => {
    const drawn = comparison.results.filter((result) => result.armId === arm.id);
    // A head that died costs up to its death; every other counts for the whole trial, as its daily gain does.
    const days = drawn.reduce((sum, { died, headDays }) => sum + (died ? headDays : known.days), 0);
    return perHeadDay.times(days).dividedBy(drawn.length);
  };
  return partialBudget({
    ...known,
    usual: { ...known.usual, costPerHeadStarted: costOf(comparison.usual, usualCost.perHeadDay) },
    change: { ...known.change, costPerHeadStarted: costOf(comparison.change, changeCost.perHeadDay) },
    valueOfGain: trial.valueOfGain,
    valueOfCattle: trial.valueOfCattle,
    herdHead: trial.herdHead,
  });
}
