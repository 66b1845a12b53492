import { chanceOfFirstCrossing, lookBoundaries } from '../planned-looks.js';
import { normalQuantile } from '../special-functions.js';
import { type AnimalResult, unitsOfArm } from '../analysis-sets.js';
import { analysisOfCovariance } from '../analysis-of-covariance.js';
import { covarianceRows } from '../compare-arms.js';
import { dunnettShare } from '../dunnett.js';
import type { TrialToJudge } from './judgement.js';

/** How the error that the plan allows is shared among the comparisons and looks of a trial. */
export interface SharedError {
  /** Two-sided error of one interval. */
  readonly alpha: number;
  /** Confidence of one interval: 1 − alpha. */
  readonly confidence: number;
  /** Of an interval that is no part of that analysis, such as that of deaths: several changes share by Bonferroni. */
  readonly separateConfidence: number;
  /** Is it shared among several changes after Dunnett? */
  readonly dunnett: boolean;
  /** Is this a look that the plan names? */
  readonly planned: boolean;
  /** Was the trial, or will it be, looked at more than once without a plan for it? */
  readonly peeking: boolean;
  /** Looks that share the error. */
  readonly looks: number;
  /** Chance that any of these looks finds a difference where none is, if nothing were done about it. */
  readonly falseAlarmChanceUncorrected: number;
}

/**
 * Several changes share the error after Dunnett (1955, see dunnett.ts) where the analysis takes one spread for all
 * arms and there is one planned look or none; by Bonferroni under Welch, in blocks, with an arm of fewer than two
 * units, and at the looks of a plan, whose boundaries are of one comparison each. A planned look takes its part by
 * the spending function (Lan and DeMets 1983). Looks that were not planned take parts that add up to the error
 * however many there will be: look k takes 1 / (k (k + 1)) of it while the trial runs, and the last look, k, all
 * that the others left, 1 / k. So the chance of any false alarm keeps to the error at any count of looks and
 * whatever ties the looks to each other (union bound). Source: confidence sequences, Darling and Robbins 1967,
 * Proceedings of the National Academy of Sciences 57:1188-1192; a union bound over parts that add up to one,
 * Howard, Ramdas, McAuliffe and Sekhon 2021, Annals of Statistics 49:1055-1080. The chance of a false alarm without
 * it is found as in Armitage, McPherson and Rowe 1969.
 */
export function sharedErrorOf(trial: TrialToJudge, results: readonly AnimalResult[]): SharedError {
  const changes = trial.arms.filter((arm) => arm.role === 'change').length;
  const share = (1 - trial.confidence) / changes;
  const { planned, number, final } = trial.look;
  const plannedLook = planned
    ? lookBoundaries({ fractions: planned.fractions, alpha: share, kind: planned.kind })[number - 1]
    : undefined;
  if (planned && plannedLook) {
    const shared =
      planned.fractions.length === 1
        ? sharedAmongChanges(trial, results, 1 - trial.confidence)
        : { alpha: plannedLook.nominalAlpha, dunnett: false };
    return {
      ...shared,
      confidence: 1 - shared.alpha,
      separateConfidence: 1 - plannedLook.nominalAlpha,
      planned: true,
      peeking: false,
      looks: number,
      falseAlarmChanceUncorrected: 1 - trial.confidence,
    };
  }
  // A look at running data will be followed by at least one more.
  const looks = final ? number : number + 1;
  const z = normalQuantile(1 - (1 - trial.confidence) / 2);
  const chances = chanceOfFirstCrossing({
    fractions: Array.from({ length: looks }, (_, i) => (i + 1) / looks),
    z: new Array<number>(looks).fill(z),
  });
  const all = (1 - trial.confidence) / (final ? number : number * (number + 1));
  const { alpha, dunnett } = sharedAmongChanges(trial, results, all);
  return {
    alpha,
    confidence: 1 - alpha,
    separateConfidence: 1 - all / changes,
    dunnett,
    planned: false,
    peeking: looks > 1,
    looks,
    falseAlarmChanceUncorrected: chances.reduce((sum, chance) => sum + chance, 0),
  };
}

/** Two-sided error of one comparison where all of them together may have `alpha`. */
function sharedAmongChanges(
  { arms, unit, method, confidence, designed }: TrialToJudge,
  results: readonly AnimalResult[],
  alpha: number,
): Pick<SharedError, 'alpha' | 'dunnett'> {
  const unitsOf = (role: 'usual' | 'change') =>
    arms.filter((arm) => arm.role === role).map((arm) => unitsOfArm({ results, armId: arm.id, unit, set: 'as-drawn' }));
  const [usual = []] = unitsOf('usual');
  const changes = unitsOf('change');
  const all = [usual, ...changes];
  const apart = { alpha: alpha / changes.length, dunnett: false };
  if (designed || changes.length === 1 || method === 'welch' || all.some((units) => units.length < 2)) return apart;
  const fitted = analysisOfCovariance({ arms: all.map(covarianceRows), confidence });
  if (!fitted.ok) return apart;
  const sizes = { usual: usual.length, changes: changes.map((units) => units.length) };
  return { alpha: dunnettShare({ alpha, degreesOfFreedom: fitted.residualDegreesOfFreedom, sizes }), dunnett: true };
}
