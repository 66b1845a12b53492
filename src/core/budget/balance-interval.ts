import tQuantile from '@stdlib/stats-base-dists-t-quantile';
import { decimalFromFloat } from '../units/decimal.js';
import { KILOGRAM_PLACES, Mass } from '../units/mass.js';

/**
 * Hay that came into a lot: its weight and, where that comes from weighed bales, how many of them were weighed and
 * how much they varied.
 */
export interface ReceivedHay {
  readonly weight: Mass;
  /** Absent for a scale ticket, a net weight or a transfer: those weights are taken as given. */
  readonly weighing?: { readonly bales: number; readonly weighed: number; readonly standardDeviation: Mass | null };
}

/** How certain a lot's balance is, as far as its bale weights say. */
export interface BalanceInterval {
  /**
   * `weighed-bales`: an interval; `not-known`: bales were weighed, but their spread is unknown; `not-weighed-bales`:
   * other weights, which add no uncertainty.
   */
  readonly basis: 'weighed-bales' | 'not-known' | 'not-weighed-bales';
  readonly low: Mass;
  readonly high: Mass;
  /** Half the width of the interval; absent where it is unknown. */
  readonly half: Mass;
  readonly balesWeighed: number;
  readonly bales: number;
  /** Loads with only one bale weighed, or with no spread recorded. They do not widen the interval. */
  readonly loadsNotKnown: number;
}

const UPPER_POINT = 0.975;

/**
 * The 95 % interval of a lot's balance from the bales that were weighed when it came in. Each load's total is bales ×
 * mean bale, with variance v = N (N − n) s² ÷ n: the squared standard error of the mean, s² ÷ n, with the
 * finite-population correction 1 − n/N, times N². The loads of a lot are strata: variances add, and t is taken at
 * (Σv)² ÷ Σ(v² ÷ (n − 1)) degrees of freedom, which for one load are n − 1. Sources: NIST/SEMATECH e-Handbook
 * of Statistical Methods, 1.3.5.2 (confidence limits for the mean); Cochran, W.G. 1977. Sampling Techniques, 3rd ed.,
 * sections 2.5 to 2.8 and 5.4 (equation 5.16, effective degrees of freedom).
 *
 * Assumptions: what is left is off by the same share as what came in. That holds where hay was drawn by the bale,
 * since every bale was booked at the same mean; where much was drawn over a scale, or the rest has been counted
 * since, what is left is known less well, or better, than this says. The bales weighed are a random sample of the
 * load, and loads were weighed independently. The balance never goes below zero.
 * @throws RangeError for impossible counts (fewer than 1 weighed, or more weighed than there are)
 */
export function weighedBalanceInterval(input: {
  readonly balance: Mass;
  readonly received: readonly ReceivedHay[];
}): BalanceInterval {
  const { balance, received } = input;
  const weighings = received.flatMap(({ weighing }) => (weighing === undefined ? [] : [weighing]));
  for (const { bales, weighed } of weighings) {
    if (!Number.isSafeInteger(bales) || !Number.isSafeInteger(weighed) || weighed < 1 || weighed > bales)
      throw new RangeError(`Not a sample of bales: ${weighed} of ${bales}`);
  }
  const total = Mass.sum(received.map((one) => one.weight));
  const known = weighings.flatMap(({ bales, weighed, standardDeviation }) => {
    // With every bale weighed there is no sampling error, however much they vary.
    if (weighed === bales) return [{ bales, weighed, variance: 0 }];
    if (standardDeviation === null || weighed < 2) return [];
    return [
      { bales, weighed, variance: (bales * (bales - weighed) * standardDeviation.kilograms.toNumber() ** 2) / weighed },
    ];
  });
  const loadsNotKnown = weighings.length - known.length;
  const counted = {
    balesWeighed: known.reduce((sum, one) => sum + one.weighed, 0),
    bales: known.reduce((sum, one) => sum + one.bales, 0),
    loadsNotKnown,
  };
  if (known.length === 0 || !total.isPositive()) {
    return {
      basis: loadsNotKnown > 0 ? 'not-known' : 'not-weighed-bales',
      low: balance,
      high: balance,
      half: Mass.zero,
      ...counted,
    };
  }
  const halfShare = decimalFromFloat(halfWidthKg(known) / total.kilograms.toNumber(), KILOGRAM_PLACES);
  const half = balance.isPositive() ? balance.times(halfShare) : Mass.zero;
  const low = balance.minus(half);
  return {
    basis: 'weighed-bales',
    low: low.isNegative() ? Mass.zero : low,
    high: balance.plus(half),
    half,
    ...counted,
  };
}

function halfWidthKg(loads: readonly { readonly weighed: number; readonly variance: number }[]): number {
  const spread = loads.filter((one) => one.variance > 0);
  if (spread.length === 0) return 0;
  const variance = spread.reduce((sum, one) => sum + one.variance, 0);
  const degreesOfFreedom = variance ** 2 / spread.reduce((sum, one) => sum + one.variance ** 2 / (one.weighed - 1), 0);
  return tQuantile(UPPER_POINT, degreesOfFreedom) * Math.sqrt(variance);
}
