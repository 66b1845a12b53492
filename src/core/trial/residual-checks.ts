import { describe, median } from './descriptive.js';
import { oneWayAnova } from './one-way-anova.js';
import { normalQuantile, normalUpperTail } from './special-functions.js';

export interface NormalityCheck {
  readonly method: 'shapiro-francia';
  /** Squared correlation of the ordered values with normal scores; 1 is a straight quantile plot. */
  readonly w: number;
  readonly p: number;
  /** For a quantile plot: normal score and value, in order. */
  readonly points: readonly { readonly normalScore: number; readonly value: number }[];
}

/**
 * Shapiro-Francia test of normality. Source: Royston, P. 1993. A pocket-calculator algorithm for the Shapiro-Francia
 * test for non-normality. Statistics in Medicine 12:181-184; normal scores after Blom 1958.
 * @returns null outside 5 to 5000 values, where the published p-value does not hold, or when the values do not vary.
 */
export function shapiroFrancia(values: readonly number[]): NormalityCheck | null {
  const n = values.length;
  if (n < 5 || n > 5000) return null;
  const sorted = [...values].sort((one, other) => one - other);
  const points = sorted.map((value, index) => ({
    value,
    normalScore: normalQuantile((index + 1 - 0.375) / (n + 0.25)),
  }));
  const mean = describe(sorted).mean;
  const across = points.reduce((sum, point) => sum + point.normalScore * (point.value - mean), 0);
  const scores = points.reduce((sum, point) => sum + point.normalScore ** 2, 0);
  const spread = describe(sorted).sumOfSquares;
  if (spread === 0) return null;
  const w = Math.min(1, across ** 2 / (scores * spread));
  const logN = Math.log(n);
  const logLogN = Math.log(logN);
  const center = -1.2725 + 1.0521 * (logLogN - logN);
  const scale = 1.0308 - 0.26758 * (logLogN + 2 / logN);
  return { method: 'shapiro-francia', w, p: w === 1 ? 1 : normalUpperTail((Math.log(1 - w) - center) / scale), points };
}

export interface EqualVarianceCheck {
  readonly method: 'brown-forsythe';
  readonly f: number;
  readonly between: number;
  readonly within: number;
  readonly p: number;
}

/**
 * Test of equal variances on distances from the median. Source: Brown and Forsythe 1974, Journal of the American
 * Statistical Association 69:364-367; NIST/SEMATECH e-Handbook 1.3.5.10.
 * @returns null when an arm has fewer than three values or nothing varies.
 */
export function brownForsythe(groups: readonly (readonly number[])[]): EqualVarianceCheck | null {
  if (groups.length < 2 || groups.some((group) => group.length < 3)) return null;
  const distances = groups.map((group) => {
    const middle = median(group);
    return group.map((value) => Math.abs(value - middle));
  });
  const analysis = oneWayAnova(distances);
  if (!Number.isFinite(analysis.f)) return null;
  return {
    method: 'brown-forsythe',
    f: analysis.f,
    between: analysis.between.degreesOfFreedom,
    within: analysis.within.degreesOfFreedom,
    p: analysis.p,
  };
}

/**
 * Cook's distance of each row of a linear model.
 * Source: Cook, R.D. 1977. Detection of influential observation in linear regression. Technometrics 19:15-18.
 * A row that alone decides its own fitted value (leverage one) has no distance: null.
 */
export function cooksDistances({
  residuals,
  leverages,
  parameters,
  residualSd,
}: {
  residuals: readonly number[];
  leverages: readonly number[];
  parameters: number;
  residualSd: number;
}): (number | null)[] {
  return residuals.map((residual, index) => {
    const leverage = leverages[index] ?? 1;
    if (1 - leverage < 1e-12 || !(residualSd > 0)) return null;
    return (residual ** 2 * leverage) / (parameters * residualSd ** 2 * (1 - leverage) ** 2);
  });
}
