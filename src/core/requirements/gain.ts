import { MOBILISED_RESERVE_VALUE_AS_NEM } from './body-condition.js';
import type { FinishEndPoint } from './requirement-set.js';

/** Weight of the reference animal at a fat end point, kg shrunk. Source: NRC 2000 (from memory). */
const STANDARD_REFERENCE_WEIGHTS: readonly {
  readonly key: FinishEndPoint;
  readonly bodyFatPercent: number;
  readonly weightKg: number;
  readonly source: string;
}[] = [
  { key: 'trace-25', bodyFatPercent: 25.2, weightKg: 435, source: 'NRC 2000 (from memory)' },
  { key: 'slight-27', bodyFatPercent: 26.8, weightKg: 462, source: 'NRC 2000 (from memory)' },
  { key: 'small-28', bodyFatPercent: 27.8, weightKg: 478, source: 'NRC 2000 (from memory)' },
];

export function standardReferenceWeight({ finishEndPoint }: { finishEndPoint: FinishEndPoint }): {
  standardReferenceWeightKg: number;
} {
  const row = STANDARD_REFERENCE_WEIGHTS.find((candidate) => candidate.key === finishEndPoint);
  if (row === undefined) throw new RangeError(`No reference weight for ${finishEndPoint}`);
  return { standardReferenceWeightKg: row.weightKg };
}

/** Empty weight as a share of shrunk weight; empty gain as a share of shrunk gain. Source: NRC 2000 (from memory). */
const EMPTY_SHARE_OF_SHRUNK_WEIGHT = 0.891;
const EMPTY_SHARE_OF_SHRUNK_GAIN = 0.956;

/**
 * Weight scaled to the reference animal: EQSBW = SBW · SRW / final shrunk weight. Source: NRC 2000 (from memory).
 */
export function equivalentShrunkBodyWeight({
  shrunkBodyWeightKg,
  finalShrunkBodyWeightKg,
  standardReferenceWeightKg,
}: {
  shrunkBodyWeightKg: number;
  finalShrunkBodyWeightKg: number;
  standardReferenceWeightKg: number;
}): { equivalentShrunkBodyWeightKg: number } {
  return { equivalentShrunkBodyWeightKg: (shrunkBodyWeightKg * standardReferenceWeightKg) / finalShrunkBodyWeightKg };
}

/**
 * Retained energy, Mcal/d: 0.0635 · EQEBW^0.75 · EBG^1.097, EQEBW = 0.891·EQSBW, EBG = 0.956·SWG.
 * Source: Garrett 1980; NRC 2000 (equations from memory, the table of growing cattle of 533 kg is reproduced).
 * @throws RangeError on a negative gain: loss of weight is a matter of body reserves.
 */
export function nrc2000RetainedEnergy({
  equivalentShrunkBodyWeightKg,
  shrunkGainKgPerDay,
}: {
  equivalentShrunkBodyWeightKg: number;
  shrunkGainKgPerDay: number;
}): { retainedEnergyMcalPerDay: number; equivalentEmptyBodyWeightKg: number; emptyBodyGainKgPerDay: number } {
  if (!(shrunkGainKgPerDay >= 0)) throw new RangeError('Gain must be zero or more');
  const equivalentEmptyBodyWeightKg = EMPTY_SHARE_OF_SHRUNK_WEIGHT * equivalentShrunkBodyWeightKg;
  const emptyBodyGainKgPerDay = EMPTY_SHARE_OF_SHRUNK_GAIN * shrunkGainKgPerDay;
  return {
    retainedEnergyMcalPerDay: 0.0635 * equivalentEmptyBodyWeightKg ** 0.75 * emptyBodyGainKgPerDay ** 1.097,
    equivalentEmptyBodyWeightKg,
    emptyBodyGainKgPerDay,
  };
}

/**
 * Shrunk gain from retained energy, kg/d, the exact inverse of `nrc2000RetainedEnergy`.
 * The published form `13.91·RE^0.9116·EQSBW^−0.6837` (`nrc2000ShrunkGainPublishedForm`) carries rounded constants
 * and differs from it by less than half a percent.
 * @throws RangeError on a negative energy.
 */
export function shrunkGainFromRetainedEnergy({
  equivalentShrunkBodyWeightKg,
  retainedEnergyMcalPerDay,
}: {
  equivalentShrunkBodyWeightKg: number;
  retainedEnergyMcalPerDay: number;
}): { shrunkGainKgPerDay: number } {
  if (!(retainedEnergyMcalPerDay >= 0)) throw new RangeError('Retained energy must be zero or more');
  const perGain = 0.0635 * (EMPTY_SHARE_OF_SHRUNK_WEIGHT * equivalentShrunkBodyWeightKg) ** 0.75;
  return { shrunkGainKgPerDay: (retainedEnergyMcalPerDay / perGain) ** (1 / 1.097) / EMPTY_SHARE_OF_SHRUNK_GAIN };
}

/** SWG = 13.91 · RE^0.9116 · EQSBW^−0.6837, kg/d. Source: NRC 2000 (from memory); NASEM 2016. */
export function nrc2000ShrunkGainPublishedForm({
  equivalentShrunkBodyWeightKg,
  retainedEnergyMcalPerDay,
}: {
  equivalentShrunkBodyWeightKg: number;
  retainedEnergyMcalPerDay: number;
}): { shrunkGainKgPerDay: number } {
  if (!(retainedEnergyMcalPerDay >= 0)) throw new RangeError('Retained energy must be zero or more');
  return { shrunkGainKgPerDay: 13.91 * retainedEnergyMcalPerDay ** 0.9116 * equivalentShrunkBodyWeightKg ** -0.6837 };
}

/**
 * Gain or loss that the energy of an intake brings: feed for maintenance = NEm need / NEm; what is left carries NEg.
 * Where nothing is left, what the diet lacks is drawn from the body: a megacalorie of body energy replaces 0.8 Mcal
 * of NEm, and a kilogram lost holds what a kilogram of gain at that pace would. `netEnergyBalanceMcalPerDay` is in
 * NEm terms: negative when the feed does not even cover maintenance, pregnancy and milk. Source: net energy system,
 * Lofgreen & Garrett 1968; NRC 2000 (the 0.8 of body reserves; that loss holds as much energy as gain is CSIRO 1990,
 * both from memory).
 * @throws RangeError if the diet's NEm is not positive.
 */
export function energyAllowableGain({
  equivalentShrunkBodyWeightKg,
  dryMatterIntakeKgPerDay,
  netEnergyMaintenanceTotalMcalPerDay,
  netEnergyMaintenanceMcalPerKg,
  netEnergyGainMcalPerKg,
}: {
  equivalentShrunkBodyWeightKg: number;
  dryMatterIntakeKgPerDay: number;
  /** Maintenance (with activity and weather) + pregnancy + milk. */
  netEnergyMaintenanceTotalMcalPerDay: number;
  netEnergyMaintenanceMcalPerKg: number;
  netEnergyGainMcalPerKg: number;
}): {
  /** Negative: loss. */
  shrunkGainKgPerDay: number;
  feedForMaintenanceKgPerDay: number;
  feedForGainKgPerDay: number;
  retainedEnergyMcalPerDay: number;
  /** Drawn from the body. */
  bodyEnergyLostMcalPerDay: number;
  netEnergyBalanceMcalPerDay: number;
} {
  if (!(netEnergyMaintenanceMcalPerKg > 0)) throw new RangeError('The NEm of the diet must be above 0');
  const feedForMaintenanceKgPerDay = netEnergyMaintenanceTotalMcalPerDay / netEnergyMaintenanceMcalPerKg;
  const feedForGainKgPerDay = Math.max(0, dryMatterIntakeKgPerDay - feedForMaintenanceKgPerDay);
  const retainedEnergyMcalPerDay = feedForGainKgPerDay * Math.max(0, netEnergyGainMcalPerKg);
  const netEnergyBalanceMcalPerDay =
    dryMatterIntakeKgPerDay * netEnergyMaintenanceMcalPerKg - netEnergyMaintenanceTotalMcalPerDay;
  const bodyEnergyLostMcalPerDay = Math.max(0, -netEnergyBalanceMcalPerDay) / MOBILISED_RESERVE_VALUE_AS_NEM;
  const gained = (energyMcalPerDay: number) =>
    shrunkGainFromRetainedEnergy({ equivalentShrunkBodyWeightKg, retainedEnergyMcalPerDay: energyMcalPerDay })
      .shrunkGainKgPerDay;
  return {
    shrunkGainKgPerDay:
      bodyEnergyLostMcalPerDay > 0 ? -gained(bodyEnergyLostMcalPerDay) : gained(retainedEnergyMcalPerDay),
    feedForMaintenanceKgPerDay,
    feedForGainKgPerDay,
    retainedEnergyMcalPerDay,
    bodyEnergyLostMcalPerDay,
    netEnergyBalanceMcalPerDay,
  };
}
