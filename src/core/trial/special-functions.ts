import regularisedBeta from '@stdlib/math-base-special-betainc';
import complementaryError from '@stdlib/math-base-special-erfc';
import inverseComplementaryError from '@stdlib/math-base-special-erfcinv';
import logarithmOfGamma from '@stdlib/math-base-special-gammaln';

/**
 * Natural logarithm of the gamma function for a positive argument. Library: @stdlib/math-base-special-gammaln.
 * @throws RangeError if x is not positive.
 */
export function logGamma(x: number): number {
  if (!(x > 0)) throw new RangeError(`logGamma takes a positive number, was given ${x}`);
  return logarithmOfGamma(x);
}

/**
 * Regularized incomplete beta function I_x(a, b), to nine digits or more.
 * `complement` is 1 − x; pass it when it is known more exactly than x itself.
 * Library: @stdlib/math-base-special-betainc, given the smaller of x and 1 − x so that no digit is lost near one
 * (symmetry: NIST Digital Library of Mathematical Functions, 8.17.4).
 * @throws RangeError if a shape is not positive.
 */
export function regularisedIncompleteBeta({
  x,
  complement = 1 - x,
  a,
  b,
}: {
  x: number;
  complement?: number;
  a: number;
  b: number;
}): number {
  if (!(a > 0) || !(b > 0))
    throw new RangeError(`The incomplete beta function takes positive shapes, was given ${a} and ${b}`);
  return x <= complement ? regularisedBeta(x, a, b) : regularisedBeta(complement, b, a, true, true);
}

/**
 * Chance that a standard normal value is above z. Library: @stdlib/math-base-special-erfc, which keeps its digits far
 * out in the tail. Source: Abramowitz and Stegun 1964, 26.2.29.
 */
export function normalUpperTail(z: number): number {
  return 0.5 * complementaryError(z / Math.SQRT2);
}

/**
 * The z below which a standard normal value falls with chance p. Library: @stdlib/math-base-special-erfcinv, taken on
 * the side of the smaller tail. (@stdlib/stats-base-dists-normal-quantile inverts 2p − 1, which loses the digits of a
 * small p.) Source: Abramowitz and Stegun 1964, 26.2.29.
 * @throws RangeError outside 0 < p < 1.
 */
export function normalQuantile(p: number): number {
  if (!(p > 0 && p < 1)) throw new RangeError(`A chance lies between 0 and 1, was given ${p}`);
  return p < 0.5 ? -Math.SQRT2 * inverseComplementaryError(2 * p) : Math.SQRT2 * inverseComplementaryError(2 * (1 - p));
}
