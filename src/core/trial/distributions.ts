import studentCumulative from '@stdlib/stats-base-dists-t-cdf';
import studentQuantile from '@stdlib/stats-base-dists-t-quantile';
import { logGamma, normalUpperTail, regularisedIncompleteBeta } from './special-functions.js';

/**
 * Quantile of Student's t. Degrees of freedom need not be whole (Welch). Library: @stdlib/stats-base-dists-t-quantile.
 */
export function tQuantile({ p, degreesOfFreedom }: { p: number; degreesOfFreedom: number }): number {
  return studentQuantile(p, degreesOfFreedom);
}

/** Two-sided p-value of a t statistic. Library: @stdlib/stats-base-dists-t-cdf. */
export function tTwoSidedP({ t, degreesOfFreedom }: { t: number; degreesOfFreedom: number }): number {
  if (!Number.isFinite(t)) return Number.isNaN(t) ? Number.NaN : 0;
  return 2 * studentCumulative(-Math.abs(t), degreesOfFreedom);
}

/**
 * Chance of an F statistic at least this large, to nine digits or more.
 * Source: Abramowitz and Stegun 1964, 26.6.2 (F as an incomplete beta function).
 */
export function fUpperTail({ f, between, within }: { f: number; between: number; within: number }): number {
  if (!(f > 0)) return 1;
  if (!Number.isFinite(f)) return 0;
  const whole = within + between * f;
  return regularisedIncompleteBeta({
    x: within / whole,
    complement: (between * f) / whole,
    a: within / 2,
    b: between / 2,
  });
}

/**
 * Cumulative noncentral t distribution, as a series of incomplete beta functions. Ours, because @stdlib has no
 * noncentral t. Source: Lenth, R.V. 1989. Algorithm AS 243: cumulative distribution function of the non-central t
 * distribution. Applied Statistics 38:185-189.
 */
export function noncentralTCumulative({
  t,
  degreesOfFreedom,
  noncentrality,
}: {
  t: number;
  degreesOfFreedom: number;
  noncentrality: number;
}): number {
  if (t < 0) return 1 - noncentralTCumulative({ t: -t, degreesOfFreedom, noncentrality: -noncentrality });
  const delta = noncentrality;
  const normalPart = normalUpperTail(delta);
  if (t === 0) return normalPart;
  // Beyond this the Poisson weights underflow and the answer is 0 or 1 to every digit that matters here.
  if (Math.abs(delta) > 37) return delta > 0 ? 0 : 1;
  const halfSquare = (delta * delta) / 2;
  const b = degreesOfFreedom / 2;
  const whole = degreesOfFreedom + t * t;
  const x = (t * t) / whole;
  const complement = degreesOfFreedom / whole;
  let evenWeight = Math.exp(-halfSquare);
  let oddWeight = (delta * Math.exp(-halfSquare)) / (Math.SQRT2 * Math.exp(logGamma(1.5)));
  let evenBeta = regularisedIncompleteBeta({ x, complement, a: 0.5, b });
  let oddBeta = regularisedIncompleteBeta({ x, complement, a: 1, b });
  // I_x(a + 1, b) = I_x(a, b) − step(a); step(a + 1) = step(a) · x (a + b) / (a + 1).
  let evenStep = Math.exp(
    0.5 * Math.log(x) + b * Math.log(complement) + logGamma(0.5 + b) - logGamma(1.5) - logGamma(b),
  );
  let oddStep = Math.exp(Math.log(x) + b * Math.log(complement) + logGamma(1 + b) - logGamma(b));
  let sum = 0;
  let weightLeft = 1;
  for (let j = 0; j < 10_000; j += 1) {
    sum += evenWeight * evenBeta + oddWeight * oddBeta;
    weightLeft -= evenWeight;
    if (j > halfSquare && weightLeft * evenBeta < 1e-15) break;
    evenBeta -= evenStep;
    oddBeta -= oddStep;
    evenStep *= (x * (j + 0.5 + b)) / (j + 1.5);
    oddStep *= (x * (j + 1 + b)) / (j + 2);
    evenWeight *= halfSquare / (j + 1);
    oddWeight *= halfSquare / (j + 1.5);
  }
  return Math.min(1, Math.max(0, normalPart + 0.5 * sum));
}
