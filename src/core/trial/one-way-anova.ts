import { compensatedSum, describe } from './descriptive.js';
import { fUpperTail } from './distributions.js';

interface OneWayAnova {
  readonly between: { readonly degreesOfFreedom: number; readonly sumOfSquares: number; readonly meanSquare: number };
  readonly within: { readonly degreesOfFreedom: number; readonly sumOfSquares: number; readonly meanSquare: number };
  readonly f: number;
  readonly p: number;
  readonly rSquared: number;
  readonly residualSd: number;
}

/**
 * One-way analysis of variance.
 * Source: NIST/SEMATECH e-Handbook of Statistical Methods, 7.4.3.
 * @throws RangeError with fewer than two groups, an empty group, or no degree of freedom within groups.
 */
export function oneWayAnova(groups: readonly (readonly number[])[]): OneWayAnova {
  const n = groups.reduce((sum, group) => sum + group.length, 0);
  const first = groups[0]?.[0];
  if (groups.length < 2 || n <= groups.length || first === undefined)
    throw new RangeError('Analysis of variance needs two groups and more values than groups');
  // F does not change when one number is taken from every value; it keeps the digits that tell the groups apart.
  const described = groups.map((group) => describe(group.map((value) => value - first)));
  const grandMean = compensatedSum(described.map((group) => group.n * group.mean)) / n;
  const betweenSum = compensatedSum(described.map((group) => group.n * (group.mean - grandMean) ** 2));
  const withinSum = compensatedSum(described.map((group) => group.sumOfSquares));
  const between = {
    degreesOfFreedom: groups.length - 1,
    sumOfSquares: betweenSum,
    meanSquare: betweenSum / (groups.length - 1),
  };
  const within = {
    degreesOfFreedom: n - groups.length,
    sumOfSquares: withinSum,
    meanSquare: withinSum / (n - groups.length),
  };
  const f =
    within.meanSquare === 0 ? (between.meanSquare === 0 ? 0 : Infinity) : between.meanSquare / within.meanSquare;
  return {
    between,
    within,
    f,
    p: fUpperTail({ f, between: between.degreesOfFreedom, within: within.degreesOfFreedom }),
    rSquared: betweenSum + withinSum === 0 ? 0 : betweenSum / (betweenSum + withinSum),
    residualSd: Math.sqrt(within.meanSquare),
  };
}
