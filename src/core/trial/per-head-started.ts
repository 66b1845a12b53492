import { agrestiCaffo, type ArmDeaths, spreadOfDeaths } from './deaths-spread.js';
import { tQuantile } from './distributions.js';
import type { Triple } from './if-it-held.js';
import type { Difference } from './two-sample.js';

export interface ArmPerHead extends ArmDeaths {
  /** Daily gain of those that lived, kilograms. */
  readonly meanGainKgPerDay: number;
}

/** A change against the usual feeding, with its dead. */
export interface GainAndDeaths {
  /** Change less usual among those that lived, kilograms a day. */
  readonly gain: Pick<Difference, 'difference' | 'standardError' | 'degreesOfFreedom' | 'low' | 'high' | 'confidence'>;
  readonly usual: ArmPerHead;
  readonly change: ArmPerHead;
  /** Mean of both arms: an animal that dies is lost at this weight. */
  readonly startWeightKg: number;
  readonly days: number;
}

export const shareDied = ({ died, started }: Pick<ArmDeaths, 'died' | 'started'>): number => died / started;

/** Share of head that lived, mean of the two arms. */
export function shareLived({ usual, change }: Pick<GainAndDeaths, 'usual' | 'change'>): number {
  return 1 - (shareDied(usual) + shareDied(change)) / 2;
}

/** What one death takes: the animal at its start weight, and the gain that it would have made. */
export function lossOfOneDeath(
  { usual, change, startWeightKg, days }: GainAndDeaths,
  worth: { readonly perKgGain: number; readonly perKgCattle: number },
): number {
  const meanGain = (usual.meanGainKgPerDay + change.meanGainKgPerDay) / 2;
  return startWeightKg * worth.perKgCattle + meanGain * days * worth.perKgGain;
}

/**
 * Change less usual over the days for each head started, with the dead in: gain of those that lived less what deaths
 * took, each kilogram at its worth (1 and 1 for kilograms). The interval is by the delta method from two parts that
 * vary on their own: the gain of those that lived, by the analysis of the plan, and the share that died in each arm,
 * with one death and one that lived added to each (see deaths-spread.ts) and never less spread than the pens show. With
 * no death in either arm it is the interval of the gain, which knows nothing of deaths that may come in another
 * winter: the exact interval of the deaths says how many those could be. Sources: delta method, Casella and Berger
 * 2002, Statistical Inference, 2nd ed., 5.5.4 (from memory); degrees of freedom, Satterthwaite 1946, Biometrics
 * Bulletin 2:110-114.
 */
export function perHeadStarted(
  given: GainAndDeaths,
  worth: { readonly perKgGain: number; readonly perKgCattle: number },
): Triple<number> {
  const { gain, usual, change, days } = given;
  const ofGain = worth.perKgGain * days;
  if (usual.died + change.died === 0)
    return { low: gain.low * ofGain, estimate: gain.difference * ofGain, high: gain.high * ofGain };
  const ofDeath = lossOfOneDeath(given, worth);
  const net = (diedUsual: number, diedChange: number) =>
    (1 - (diedUsual + diedChange) / 2) * ofGain * gain.difference - (diedChange - diedUsual) * ofDeath;
  const shares = { usual: agrestiCaffo(usual).share, change: agrestiCaffo(change).share };
  const lived = 1 - (shares.usual + shares.change) / 2;
  // A death in either arm also takes half a head's part of the difference in gain.
  const half = (ofGain * gain.difference) / 2;
  const [before, after] = [spreadOfDeaths(usual), spreadOfDeaths(change)];
  const parts = [
    {
      // The mean gain of the arms, which the dead would have made, is known half as well as their difference.
      variance: (ofGain * gain.standardError) ** 2 * (lived ** 2 + (shares.change - shares.usual) ** 2 / 4),
      degreesOfFreedom: gain.degreesOfFreedom,
    },
    { variance: (ofDeath - half) ** 2 * before.variance, degreesOfFreedom: before.degreesOfFreedom },
    { variance: (ofDeath + half) ** 2 * after.variance, degreesOfFreedom: after.degreesOfFreedom },
  ];
  const variance = parts.reduce((sum, part) => sum + part.variance, 0);
  const degreesOfFreedom =
    variance ** 2 / parts.reduce((sum, part) => sum + part.variance ** 2 / part.degreesOfFreedom, 0);
  const reach = Math.sqrt(variance) * tQuantile({ p: 1 - (1 - gain.confidence) / 2, degreesOfFreedom });
  const middle = net(shares.usual, shares.change);
  return { low: middle - reach, estimate: net(shareDied(usual), shareDied(change)), high: middle + reach };
}
