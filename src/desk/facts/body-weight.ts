import { daysBetween } from '../../core/time/calendar-day.js';
import { SHRUNK_SHARE_OF_FULL_WEIGHT } from '../../core/requirements/maintenance.js';
import { decimalFromFloat } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import type { HerdRow } from '../../records/cattle/herds/herd.read.js';
import type { HerdWeighIn } from '../../records/cattle/weigh-ins/weigh-in.read.js';

/** A weigh-in this old still stands for the herd's weight; common practice, no source. */
const WEIGHT_GOOD_FOR_DAYS = 60;

/**
 * Mean full weight of a herd on a day: the newest weigh-in that is not too old, else what the herd's own entry says.
 */
export function bodyWeightOf(
  herd: HerdRow,
  weighIns: readonly HerdWeighIn[],
  on: string,
): { bodyWeight: Mass; from: string } {
  const weighIn = weighIns
    .filter((one) => one.herdId === herd.id && one.day <= on && daysBetween(one.day, on) <= WEIGHT_GOOD_FOR_DAYS)
    .at(-1);
  if (weighIn === undefined) return { bodyWeight: Mass.kilograms(herd.body_weight_kg), from: "the herd's own entry" };
  if (weighIn.fill === 'full') return { bodyWeight: weighIn.mean, from: `the weigh-in of ${weighIn.day}` };
  return {
    bodyWeight: weighIn.mean.dividedBy(decimalFromFloat(SHRUNK_SHARE_OF_FULL_WEIGHT, 4)),
    from: `the weigh-in of ${weighIn.day}, shrunk weight over ${SHRUNK_SHARE_OF_FULL_WEIGHT}`,
  };
}
