import { tQuantile, tTwoSidedP } from './distributions.js';

/** What a two-sample comparison needs to know of one arm. */
interface ArmSummary {
  readonly n: number;
  readonly mean: number;
  readonly variance: number;
}

/** A difference (second arm minus first) with its interval. All in the unit of the means. */
export interface Difference {
  readonly method: 'welch' | 'pooled' | 'analysis-of-covariance' | 'mixed-model';
  readonly difference: number;
  readonly standardError: number;
  readonly degreesOfFreedom: number;
  readonly t: number;
  readonly p: number;
  readonly confidence: number;
  readonly low: number;
  readonly high: number;
}

export function differenceWithInterval(parts: {
  method: Difference['method'];
  difference: number;
  standardError: number;
  degreesOfFreedom: number;
  confidence: number;
}): Difference {
  const { difference, standardError, degreesOfFreedom, confidence } = parts;
  const reach = standardError * tQuantile({ p: 1 - (1 - confidence) / 2, degreesOfFreedom });
  const t = difference === 0 && standardError === 0 ? 0 : difference / standardError;
  return { ...parts, t, p: tTwoSidedP({ t, degreesOfFreedom }), low: difference - reach, high: difference + reach };
}

function check(arms: readonly ArmSummary[]): void {
  if (arms.some((arm) => arm.n < 2 || !(arm.variance >= 0)))
    throw new RangeError('Each arm needs at least two values and a variance');
}

/**
 * Difference of two means without assuming equal variances. Source: Welch, B.L. 1947. Biometrika 34:28-35; degrees of
 * freedom after Satterthwaite 1946, Biometrics Bulletin 2:110-114.
 * @throws RangeError if an arm has fewer than two values.
 */
export function welchDifference({
  first,
  second,
  confidence,
}: {
  first: ArmSummary;
  second: ArmSummary;
  confidence: number;
}): Difference {
  check([first, second]);
  const a = first.variance / first.n;
  const b = second.variance / second.n;
  // Two arms without any spread have no Satterthwaite ratio; the pooled count is its limit for equal variances.
  const degreesOfFreedom =
    a + b === 0 ? first.n + second.n - 2 : (a + b) ** 2 / (a ** 2 / (first.n - 1) + b ** 2 / (second.n - 1));
  return differenceWithInterval({
    method: 'welch',
    difference: second.mean - first.mean,
    standardError: Math.sqrt(a + b),
    degreesOfFreedom,
    confidence,
  });
}

/**
 * Difference of two means with one variance for both.
 * Source: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.3.
 */
export function pooledDifference({
  first,
  second,
  confidence,
}: {
  first: ArmSummary;
  second: ArmSummary;
  confidence: number;
}): Difference & { readonly pooledSd: number } {
  check([first, second]);
  const degreesOfFreedom = first.n + second.n - 2;
  const pooledSd = Math.sqrt(((first.n - 1) * first.variance + (second.n - 1) * second.variance) / degreesOfFreedom);
  const standardError = pooledSd * Math.sqrt(1 / first.n + 1 / second.n);
  return {
    ...differenceWithInterval({
      method: 'pooled',
      difference: second.mean - first.mean,
      standardError,
      degreesOfFreedom,
      confidence,
    }),
    pooledSd,
  };
}
