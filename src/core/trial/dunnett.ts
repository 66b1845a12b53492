import { logGamma, normalUpperTail } from './special-functions.js';
import { tQuantile, tTwoSidedP } from './distributions.js';

/** Units of the usual arm and of each change. Only their ratios count for how the comparisons hang together. */
export interface ArmSizes {
  readonly usual: number;
  readonly changes: readonly number[];
}

/** Steps of the trapezoid rule, which for these bell-shaped integrands loses less than a millionth. */
const NORMAL_STEP = 0.2;
const NORMAL_REACH = 7;
const SPREAD_STEPS = 60;

/** Standard normal values of the mean of the usual arm that all comparisons share, with their weights. */
const SHARED = Array.from({ length: Math.round((2 * NORMAL_REACH) / NORMAL_STEP) + 1 }, (_, index) => {
  const at = index * NORMAL_STEP - NORMAL_REACH;
  return { at, weight: (NORMAL_STEP * Math.exp(-(at * at) / 2)) / Math.sqrt(2 * Math.PI) };
});

/**
 * Chance that every change's t statistic against the usual arm, all with one residual spread, lies within ± `critical`
 * where no arm differs: over the mean of the usual arm that they share and over the spread that was found. Source:
 * Dunnett, C.W. 1955. Journal of the American Statistical Association 50:1096-1121, with his correlations
 * √(nᵢ nⱼ / ((n₀ + nᵢ)(n₀ + nⱼ))).
 */
export function dunnettCumulative({
  critical,
  degreesOfFreedom,
  sizes,
}: {
  critical: number;
  degreesOfFreedom: number;
  sizes: ArmSizes;
}): number {
  const shares = sizes.changes.map((units) => units / (units + sizes.usual));
  const loadings = shares.map((share) => ({ shared: Math.sqrt(share), own: Math.sqrt(1 - share) }));
  let sum = 0;
  for (const { spread, weight } of spreadsOf(degreesOfFreedom)) {
    let within = 0;
    for (const { at, weight: chance } of SHARED) {
      let all = chance;
      for (const { shared, own } of loadings) {
        const [low, high] = [shared * at - critical * spread, shared * at + critical * spread];
        all *= normalUpperTail(low / own) - normalUpperTail(high / own);
      }
      within += all;
    }
    sum += weight * within;
  }
  return sum;
}

/** Residual spread found over the true one, √(χ² / degrees of freedom), with weights that add up to one. */
export function spreadsOf(degreesOfFreedom: number, steps = SPREAD_STEPS): { spread: number; weight: number }[] {
  // In the logarithm u of the spread the density is exp(f (u − exp(2u) / 2)): a bell with sd √(1 / 2f), long to the
  // left where f is small.
  const sd = Math.sqrt(1 / (2 * degreesOfFreedom));
  const from = -8 * sd - 16 / degreesOfFreedom;
  const to = 8 * sd;
  const step = (to - from) / steps;
  const half = degreesOfFreedom / 2;
  const logConstant = Math.log(2) + half * Math.log(half) - logGamma(half);
  const points = Array.from({ length: steps + 1 }, (_, index) => {
    const u = from + index * step;
    const logDensity = logConstant + degreesOfFreedom * u - half * Math.exp(2 * u);
    return { spread: Math.exp(u), weight: step * Math.exp(logDensity) };
  });
  return points.filter(({ weight }) => weight > 1e-14);
}

interface DunnettAsked {
  readonly alpha: number;
  readonly degreesOfFreedom: number;
  readonly sizes: ArmSizes;
}

/** Critical values found lately: a plan, and simulated trials of one size, ask for the same ones again and again. */
const FOUND = new Map<string, number>();
const MOST_FOUND = 2000;

/** The critical value of all comparisons with the usual arm together, two-sided. */
export function dunnettCritical(asked: DunnettAsked): number {
  const { alpha, degreesOfFreedom, sizes } = asked;
  // Only the proportions of the arms count.
  const parts = sizes.changes.map((size) => size / sizes.usual).join(' ');
  const key = `${alpha} ${degreesOfFreedom} ${parts}`;
  const known = FOUND.get(key);
  if (known !== undefined) return known;
  const critical = searchedCritical(asked);
  if (FOUND.size >= MOST_FOUND) FOUND.clear();
  FOUND.set(key, critical);
  return critical;
}

function searchedCritical({ alpha, degreesOfFreedom, sizes }: DunnettAsked): number {
  const quantile = (of: number) => tQuantile({ p: 1 - of / 2, degreesOfFreedom });
  // Between one comparison alone and Bonferroni's bound.
  let [low, high] = [quantile(alpha), quantile(alpha / sizes.changes.length)];
  if (sizes.changes.length === 1) return low;
  const missed = (critical: number) => dunnettCumulative({ critical, degreesOfFreedom, sizes }) - (1 - alpha);
  let [below, above] = [missed(low), missed(high)];
  // False position, halving the end that stays, which settles in a few steps. Source: Dowell and Jarratt 1971, BIT
  // 11:168-174 (Illinois rule).
  for (let step = 0; step < 60 && high - low > 1e-8 * high && above > 1e-12; step += 1) {
    const next = low + ((high - low) * below) / (below - above);
    const at = missed(next);
    if (Math.abs(at) < 1e-10) return next;
    if (at < 0) {
      [low, below] = [next, at];
      above /= 2;
    } else {
      [high, above] = [next, at];
      below /= 2;
    }
  }
  return high;
}

/**
 * Two-sided error of one comparison at which all of them together keep `alpha`: Student's beyond the critical value.
 */
export function dunnettShare(given: DunnettAsked): number {
  if (given.sizes.changes.length === 1) return given.alpha;
  return tTwoSidedP({ t: dunnettCritical(given), degreesOfFreedom: given.degreesOfFreedom });
}
