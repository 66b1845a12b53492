import { noncentralTCumulative, tQuantile } from './distributions.js';
import { normalQuantile } from './special-functions.js';

/** Units of `difference` and `sd` are the same, whatever they are. */
interface PowerQuestion {
  readonly perArm: number;
  readonly difference: number;
  readonly sd: number;
  /** Two-sided. */
  readonly alpha: number;
}

/**
 * Power of the two-sided two-sample t test with equal arms; both ways of rejecting are counted. `perArm` may be a
 * fraction, as in published sample-size tables. Source: noncentral t distribution, e.g. Cohen 1988, Statistical Power
 * Analysis, 2nd ed., chapter 2; computed after Lenth 1989 (AS 243).
 * @throws RangeError with one unit per arm or less, a spread that is not positive or an alpha outside 0 to 1.
 */
export function twoSampleTPower({ perArm, difference, sd, alpha }: PowerQuestion): number {
  if (!(perArm > 1) || !(sd > 0) || !(alpha > 0 && alpha < 1))
    throw new RangeError('Power needs more than one unit per arm, a positive sd and an alpha between 0 and 1');
  const degreesOfFreedom = 2 * (perArm - 1);
  const critical = tQuantile({ p: 1 - alpha / 2, degreesOfFreedom });
  const noncentrality = (Math.abs(difference) / sd) * Math.sqrt(perArm / 2);
  return (
    1 -
    noncentralTCumulative({ t: critical, degreesOfFreedom, noncentrality }) +
    noncentralTCumulative({ t: -critical, degreesOfFreedom, noncentrality })
  );
}

/** Where an increasing function crosses a level, by halving. */
function crossing(at: (x: number) => number, level: number, from: number, to: number): number {
  let low = from;
  let high = to;
  for (let step = 0; step < 200 && high - low > 1e-12 * Math.max(1, high); step += 1) {
    const middle = (low + high) / 2;
    if (at(middle) < level) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/**
 * Fractional units per arm for a power; the plan rounds it up. @returns null if more than `most` per arm would be
 * needed.
 */
export function exactUnitsPerArm({
  difference,
  sd,
  alpha,
  power,
  most = 1e6,
}: {
  difference: number;
  sd: number;
  alpha: number;
  power: number;
  most?: number;
}): number | null {
  if (difference === 0) return null;
  const at = (perArm: number) => twoSampleTPower({ perArm, difference, sd, alpha });
  const least = 1.05;
  if (at(most) < power) return null;
  if (at(least) >= power) return least;
  return crossing(at, power, least, most);
}

/** Whole units per arm, at least two. */
export function unitsPerArm(question: {
  difference: number;
  sd: number;
  alpha: number;
  power: number;
  most?: number;
}): number | null {
  const exact = exactUnitsPerArm(question);
  return exact === null ? null : Math.max(2, Math.ceil(exact - 1e-9));
}

/** The smallest difference that a trial of this size shows with the stated power. */
export function smallestVisibleDifference({
  perArm,
  sd,
  alpha,
  power,
}: {
  perArm: number;
  sd: number;
  alpha: number;
  power: number;
}): number {
  const at = (difference: number) => twoSampleTPower({ perArm, difference, sd, alpha });
  let high = sd;
  while (at(high) < power && high < 1e6 * sd) high *= 2;
  return crossing(at, power, 0, high);
}

/**
 * Rule of thumb n = 16 / (difference / sd)², rounded up: 5 % two-sided, 80 % power. Source: Lehr 1992, Statistics in
 * Medicine 11:1099-1102.
 */
export function lehrUnitsPerArm({ difference, sd }: { difference: number; sd: number }): number {
  return Math.ceil(16 / (difference / sd) ** 2);
}

/**
 * Normal approximation of units per arm, for showing the working beside the exact answer. Source: NIST/SEMATECH
 * e-Handbook 7.2.2.2, two samples.
 */
export function normalUnitsPerArm({
  difference,
  sd,
  alpha,
  power,
}: {
  difference: number;
  sd: number;
  alpha: number;
  power: number;
}): number {
  return (2 * (normalQuantile(1 - alpha / 2) + normalQuantile(power)) ** 2) / (difference / sd) ** 2;
}

export interface PowerCurvePoint {
  readonly perArm: number;
  readonly smallestVisibleDifference: number;
}

export function visibleDifferenceCurve({
  heads,
  sd,
  alpha,
  power,
}: {
  heads: readonly number[];
  sd: number;
  alpha: number;
  power: number;
}): PowerCurvePoint[] {
  return heads.map((perArm) => ({
    perArm,
    smallestVisibleDifference: smallestVisibleDifference({ perArm, sd, alpha, power }),
  }));
}
