import { chanceOfFirstCrossing, lookBoundaries } from '../planned-looks.js';
import { normalQuantile } from '../special-functions.js';
import type { TrialToJudge } from './judgement.js';

/** How the error that the plan allows is shared among the comparisons and looks of a trial. */
export interface SharedError {
  /** Two-sided error of one interval. */
  readonly alpha: number;
  /** Confidence of one interval: 1 − alpha. */
  readonly confidence: number;
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
 * Several changes share the error by Bonferroni. A planned look takes its part by the spending function (Lan and DeMets
 * 1983). Looks that were not planned take parts that add up to the error however many there will be: look k takes
 * 1 / (k (k + 1)) of it while the trial runs, and the last look, k, all that the others left, 1 / k. So the chance of
 * any false alarm keeps to the error at any count of looks and whatever ties the looks to each other (union bound).
 * Source: confidence sequences, Darling and Robbins 1967, Proceedings of the National Academy of Sciences 57:1188-1192;
 * a union bound over parts that add up to one, Howard, Ramdas, McAuliffe and Sekhon 2021, Annals of Statistics
 * 49:1055-1080. The chance of a false alarm without it is found as in Armitage, McPherson and Rowe 1969.
 */
export function sharedErrorOf(trial: TrialToJudge): SharedError {
  const changes = trial.arms.filter((arm) => arm.role === 'change').length;
  const share = (1 - trial.confidence) / changes;
  const { planned, number, final } = trial.look;
  const plannedLook = planned
    ? lookBoundaries({ fractions: planned.fractions, alpha: share, kind: planned.kind })[number - 1]
    : undefined;
  if (plannedLook)
    return {
      alpha: plannedLook.nominalAlpha,
      confidence: 1 - plannedLook.nominalAlpha,
      planned: true,
      peeking: false,
      looks: number,
      falseAlarmChanceUncorrected: 1 - trial.confidence,
    };
  // A look at running data will be followed by at least one more.
  const looks = final ? number : number + 1;
  const z = normalQuantile(1 - (1 - trial.confidence) / 2);
  const chances = chanceOfFirstCrossing({
    fractions: Array.from({ length: looks }, (_, i) => (i + 1) / looks),
    z: new Array<number>(looks).fill(z),
  });
  const alpha = final ? share / number : share / (number * (number + 1));
  return {
    alpha,
    confidence: 1 - alpha,
    planned: false,
    peeking: looks > 1,
    looks,
    falseAlarmChanceUncorrected: chances.reduce((sum, chance) => sum + chance, 0),
  };
}
