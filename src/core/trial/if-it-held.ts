import { decimalFromFloat } from '../units/decimal.js';
import { Mass } from '../units/mass.js';

/** Three figures that belong together: the two ends of an interval and the best single figure between them. */
export interface Triple<Value> {
  readonly low: Value;
  readonly estimate: Value;
  readonly high: Value;
}

export function mapTriple<From, To>(triple: Triple<From>, change: (value: From) => To): Triple<To> {
  return { low: change(triple.low), estimate: change(triple.estimate), high: change(triple.high) };
}

/** Floats from statistics become masses with this many places: a microgram. */
const PLACES = 9;

/** Weight that a daily difference would add up to over head and days, if it held. */
export function herdGainIfItHeld({
  differenceKgPerDay,
  head,
  days,
}: {
  differenceKgPerDay: Triple<number>;
  head: number;
  days: number;
}): Triple<Mass> {
  return mapTriple(differenceKgPerDay, (kg) => Mass.kilograms(decimalFromFloat(kg, PLACES)).times(head).times(days));
}

/**
 * Share of the hay need that a lower waste saves, for the same hay eaten: need is eaten / (1 − waste).
 * @throws RangeError if a waste share is not within 0 to below 1.
 */
export function hayNeedCutByWaste({
  wasteShareBefore,
  wasteShareAfter,
}: {
  wasteShareBefore: number;
  wasteShareAfter: number;
}): { needPerTonEatenBefore: number; needPerTonEatenAfter: number; cutShare: number } {
  if (![wasteShareBefore, wasteShareAfter].every((share) => share >= 0 && share < 1))
    throw new RangeError('Waste is a share from 0 to below 1');
  const needPerTonEatenBefore = 1 / (1 - wasteShareBefore);
  const needPerTonEatenAfter = 1 / (1 - wasteShareAfter);
  return { needPerTonEatenBefore, needPerTonEatenAfter, cutShare: 1 - needPerTonEatenAfter / needPerTonEatenBefore };
}
