import { describe } from './descriptive.js';
import { tQuantile } from './distributions.js';
import type { Triple } from './if-it-held.js';

/**
 * Ratio of the means of two figures of the same units, with its interval by Fieller's theorem: all ratios m for which
 * the mean of `over` − m `under` is not told from zero. Sources: Fieller, E.C. 1954. Some problems in interval
 * estimation. Journal of the Royal Statistical Society B 16:175-185.
 * @returns null with fewer than two units, or where the mean of `under` is not told from zero: no interval then has two
 * ends.
 */
export function ratioOfMeans(
  pairs: readonly { readonly over: number; readonly under: number }[],
  confidence: number,
): Triple<number> | null {
  if (pairs.length < 2) return null;
  const [over, under] = [describe(pairs.map((one) => one.over)), describe(pairs.map((one) => one.under))];
  const together = pairs.reduce((sum, one) => sum + (one.over - over.mean) * (one.under - under.mean), 0);
  const n = pairs.length;
  const t = tQuantile({ p: 1 - (1 - confidence) / 2, degreesOfFreedom: n - 1 });
  const [ofOver, ofUnder, ofBoth] = [over.variance / n, under.variance / n, together / (n - 1) / n].map(
    (variance) => t * t * variance,
  ) as [number, number, number];
  // (x² − t² s²ₓ) m² − 2 (xy − t² sₓᵧ) m + (y² − t² s²ᵧ) = 0
  const square = under.mean ** 2 - ofUnder;
  if (!(square > 0)) return null;
  const middle = over.mean * under.mean - ofBoth;
  const root = Math.sqrt(Math.max(0, middle ** 2 - square * (over.mean ** 2 - ofOver)));
  return { low: (middle - root) / square, estimate: over.mean / under.mean, high: (middle + root) / square };
}

/** Mean of units with Student's interval; null with fewer than two. */
export function meanWithInterval(values: readonly number[], confidence: number): Triple<number> | null {
  if (values.length < 2) return null;
  const { n, mean, sd } = describe(values);
  const reach = (tQuantile({ p: 1 - (1 - confidence) / 2, degreesOfFreedom: n - 1 }) * sd) / Math.sqrt(n);
  return { low: mean - reach, estimate: mean, high: mean + reach };
}
