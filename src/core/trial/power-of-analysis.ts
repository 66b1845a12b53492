import type { TrialMethod } from './compare-arms.js';
import { dunnettCritical, spreadsOf } from './dunnett.js';
import { noncentralTCumulative, tQuantile } from './distributions.js';
import { normalUpperTail } from './special-functions.js';

interface AnalysisPlanned {
  readonly method: TrialMethod;
  /** Two or more; may be a fraction on the way to a whole number. */
  readonly perArm: number;
  readonly difference: number;
  /** Of one unit within arms, beside start weight where the analysis allows for it. Same unit as `difference`. */
  readonly sd: number;
  /** Two-sided, of all comparisons with the usual arm together. */
  readonly alpha: number;
  /** Changes that are compared with the usual arm; one if absent. */
  readonly changes?: number;
  /**
   * Asks for the chance that two one-sided tests, each at `alpha`, show a difference smaller than `difference` where
   * there is none (see equivalence.ts). Several changes then share the error by Bonferroni.
   */
  readonly equivalence?: boolean;
  /** Is the error shared after Dunnett where the analysis allows it? Else by Bonferroni. True if absent. */
  readonly dunnett?: boolean;
  /** Share of units that are expected to end without a weight, by chance and alike in both arms; none if absent. */
  readonly lost?: number;
}

/** With as many units an arm the expected loss stands for the chances of each count, which change no digit shown. */
const MANY_UNITS = 25;

/**
 * Power where some units are lost: over the counts that may be lost of all that start, each as likely as the binomial
 * has it, half of them in each arm. With fewer than two units left in an arm there is no answer.
 */
export function powerOfAnalysis({ lost = 0, ...planned }: AnalysisPlanned): number {
  const { perArm } = planned;
  if (lost === 0) return powerWithAll(planned);
  if (!(lost > 0 && lost < 1)) throw new RangeError('The share lost lies between 0 and 1');
  if (perArm >= MANY_UNITS) return powerWithAll({ ...planned, perArm: perArm * (1 - lost) });
  if (!Number.isInteger(perArm) || perArm < 2)
    throw new RangeError('Losses are of a whole number of units, two or more');
  const all = 2 * perArm;
  let [sum, chance] = [0, (1 - lost) ** all];
  for (let gone = 0; all - gone >= 4; gone += 1) {
    sum += chance * powerWithAll({ ...planned, perArm: (all - gone) / 2 });
    chance *= ((all - gone) / (gone + 1)) * (lost / (1 - lost));
    if (chance < 1e-7) break;
  }
  return sum;
}

/**
 * Power of the very analysis that will judge the trial, with equal arms and normal gains. By analysis of covariance one
 * degree of freedom goes to the slope, and arms that differ in start weight by chance lose precision: with f =
 * (n − 1) for each arm of the trial, the squared standard error is 2 sd² / n · (1 + t²/f), t Student's on f
 * (normal start weights). By Welch the degrees of freedom follow the two spreads that are found. Either is the
 * noncentral t of one known case, averaged over an angle whose density is a power of its cosine. Sources: Shieh,
 * G. 2017. Power and sample size calculations for contrast analysis in ANCOVA. Multivariate Behavioral Research
 * 52:1-11 (from memory); Welch 1947, Biometrika 34:28-35.
 * @throws RangeError with fewer than two units per arm, a spread that is not positive or an alpha outside 0 to 1.
 */
function powerWithAll({ method, perArm, difference, sd, alpha, ...more }: Omit<AnalysisPlanned, 'lost'>): number {
  const { changes = 1, dunnett = true, equivalence = false } = more;
  if (!(perArm >= 2) || !(sd > 0) || !(alpha > 0 && alpha < 1))
    throw new RangeError('Power needs two units per arm or more, a positive sd and an alpha between 0 and 1');
  if (equivalence) {
    // Critical values at twice the error, two-sided, are those of one side.
    const oneSided = { ...more, method, perArm, sd, difference, alpha: Math.min(2 * alpha, 0.999), dunnett: false };
    return chanceOf(within, oneSided);
  }
  return chanceOf(beyond, { ...more, method, perArm, sd, difference, alpha, changes, dunnett });
}

type ChanceOfT = (given: { critical: number; degreesOfFreedom: number; noncentrality: number }) => number;

function chanceOf(
  beyond: ChanceOfT,
  { method, perArm, difference, sd, alpha, changes = 1, dunnett = true }: Omit<AnalysisPlanned, 'lost'>,
): number {
  const effect = (Math.abs(difference) / sd) * Math.sqrt(perArm / 2);
  if (method === 'analysis-of-covariance') {
    const degreesOfFreedom = (changes + 1) * (perArm - 1) - 1;
    const critical = dunnett
      ? criticalOf({ alpha, degreesOfFreedom, changes })
      : tQuantile({ p: 1 - alpha / changes / 2, degreesOfFreedom });
    return meanOverAngle(degreesOfFreedom, (angle) =>
      beyond({ critical, degreesOfFreedom, noncentrality: effect * Math.cos(angle) }),
    );
  }
  // With r the first arm's share of both variances, r is (1 − sin angle) / 2 and Welch's degrees of freedom are
  // (n − 1) / (r² + (1 − r)²); the statistic itself is a noncentral t on 2 (n − 1).
  return meanOverAngle(perArm - 2, (angle) => {
    const critical = tQuantile({
      p: 1 - alpha / changes / 2,
      degreesOfFreedom: (2 * (perArm - 1)) / (1 + Math.sin(angle) ** 2),
    });
    return beyond({ critical, degreesOfFreedom: 2 * (perArm - 1), noncentrality: effect });
  });
}

function criticalOf(given: { alpha: number; degreesOfFreedom: number; changes: number }): number {
  const { alpha, degreesOfFreedom, changes } = given;
  if (changes === 1) return tQuantile({ p: 1 - alpha / 2, degreesOfFreedom });
  const sizes = { usual: 1, changes: new Array<number>(changes).fill(1) };
  return dunnettCritical({ alpha, degreesOfFreedom, sizes });
}

function beyond(given: { critical: number; degreesOfFreedom: number; noncentrality: number }): number {
  const { critical, degreesOfFreedom, noncentrality } = given;
  return (
    1 -
    noncentralTCumulative({ t: critical, degreesOfFreedom, noncentrality }) +
    noncentralTCumulative({ t: -critical, degreesOfFreedom, noncentrality })
  );
}

/** Chance that two one-sided tests both reject where nothing differs; `noncentrality` is the margin in true errors. */
function within(given: { critical: number; degreesOfFreedom: number; noncentrality: number }): number {
  const { critical, degreesOfFreedom, noncentrality: margin } = given;
  return spreadsOf(degreesOfFreedom, 400).reduce(
    (sum, { spread, weight }) => sum + weight * (1 - 2 * normalUpperTail(Math.max(0, margin - critical * spread))),
    0,
  );
}

/** Even number of steps of Simpson's rule. */
const STEPS = 16;

/** Mean of a function of an angle from 0 to a right angle whose density is cosine to a power. */
function meanOverAngle(power: number, of: (angle: number) => number): number {
  // Beyond six standard deviations nothing is left of a narrow density.
  const upTo = Math.min(Math.PI / 2, 6 / Math.sqrt(Math.max(power, 1)));
  let [sum, whole] = [0, 0];
  for (let step = 0; step <= STEPS; step += 1) {
    const angle = (upTo * step) / STEPS;
    const weight = (step === 0 || step === STEPS ? 1 : step % 2 === 1 ? 4 : 2) * Math.cos(angle) ** power;
    whole += weight;
    if (weight > 0) sum += weight * of(angle);
  }
  return sum / whole;
}

/** Where an increasing function crosses a level, by halving, to a millionth. */
function crossing(at: (x: number) => number, level: number, from: number, to: number): number {
  let [low, high] = [from, to];
  for (let step = 0; step < 100 && high - low > 1e-6 * high; step += 1) {
    const middle = (low + high) / 2;
    if (at(middle) < level) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/**
 * The smallest difference that an analysis of this size shows with the stated power; null where so many units may be
 * lost that no difference is.
 */
export function visibleByAnalysis({
  power,
  ...given
}: Omit<AnalysisPlanned, 'difference'> & { readonly power: number }): number | null {
  const at = (difference: number) => powerOfAnalysis({ ...given, difference });
  let high = given.sd;
  while (at(high) < power) {
    if (high > 1e3 * given.sd) return null;
    high *= 2;
  }
  return crossing(at, power, 0, high);
}

/** Whole units per arm, at least two; null if more than `most` would be needed. */
export function unitsByAnalysis({
  power,
  most,
  ...given
}: Omit<AnalysisPlanned, 'perArm'> & { readonly power: number; readonly most: number }): number | null {
  const at = (perArm: number) => powerOfAnalysis({ ...given, perArm });
  if (given.difference === 0 || at(most) < power) return null;
  let [low, high] = [1, 2];
  while (at(high) < power) [low, high] = [high, Math.min(most, high * 2)];
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (at(middle) < power) low = middle;
    else high = middle;
  }
  return high;
}
