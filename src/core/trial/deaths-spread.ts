import { describe } from './descriptive.js';

/** Deaths of one arm by what was fed apart: one unit for each animal, or for each pen. */
export interface ArmDeaths {
  readonly died: number;
  readonly started: number;
  /** Share that died in each pen; null where animals are the units. */
  readonly shareByPen: readonly number[] | null;
}

/**
 * Share that died and its variance with one death and one that lived added to the arm, so that an arm without deaths
 * is not taken as free of them. Source: Agresti, A. and Caffo, B. 2000. Simple and effective confidence intervals for
 * proportions and differences of proportions. The American Statistician 54:280-288.
 */
export function agrestiCaffo({ died, started }: Pick<ArmDeaths, 'died' | 'started'>): {
  readonly share: number;
  readonly variance: number;
} {
  const share = (died + 1) / (started + 2);
  return { share, variance: (share * (1 - share)) / (started + 2) };
}

/** Variance of the share that died in an arm. Where pens were fed it is at least what the pens show. */
export function spreadOfDeaths(arm: ArmDeaths): { readonly variance: number; readonly degreesOfFreedom: number } {
  const { variance } = agrestiCaffo(arm);
  const pens = arm.shareByPen;
  if (pens === null || pens.length < 2) return { variance, degreesOfFreedom: Math.max(1, arm.started - 1) };
  return { variance: Math.max(variance, describe(pens).variance / pens.length), degreesOfFreedom: pens.length - 1 };
}
