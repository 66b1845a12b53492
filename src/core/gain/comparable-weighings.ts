import { compareDays, daysBetween, type CalendarDay } from '../time/calendar-day.js';
import { decimal } from '../units/decimal.js';
import { Mass } from '../units/mass.js';

/** Mean weight of a herd on a day, as it was weighed. */
export interface MeanWeighing {
  readonly day: CalendarDay;
  readonly head: number;
  readonly mean: Mass;
  readonly fill: 'full' | 'shrunk';
}

/**
 * Shrunk weight is 0.96 of full weight. Source: NRC 2000 update (SBW = 0.96 × full weight), as given by University of
 * Arkansas MP391.
 */
const SHRUNK_SHARE = decimal('0.96');

/** Weighings of one day are merged: their mean over the head weighed, shrunk only if all were. */
export function oneADay(weighings: readonly MeanWeighing[]): MeanWeighing[] {
  const days = [...new Set(weighings.map((one) => one.day))].sort(compareDays);
  return days.map((day) => {
    const same = weighings.filter((one) => one.day === day);
    const fill = same.every((one) => one.fill === 'shrunk') ? 'shrunk' : 'full';
    const heads = same.reduce((sum, one) => sum + one.head, 0);
    const total = Mass.sum(
      same.map((one) =>
        (fill === 'full' && one.fill === 'shrunk' ? one.mean.dividedBy(SHRUNK_SHARE) : one.mean).times(one.head),
      ),
    );
    return { day, head: Math.max(...same.map((one) => one.head)), mean: total.dividedBy(heads), fill };
  });
}

/** The weighing nearest to a day; the earlier of two equally near. */
export function nearest(weighings: readonly MeanWeighing[], day: CalendarDay): MeanWeighing | undefined {
  return [...weighings].sort(
    (one, other) =>
      Math.abs(daysBetween(day, one.day)) - Math.abs(daysBetween(day, other.day)) || compareDays(one.day, other.day),
  )[0];
}

/**
 * Two weighings made comparable: where only one was shrunk, the full one is shrunk by 4 %; where both have the same
 * fill, as they were read.
 */
export function onOneFooting(
  opening: MeanWeighing,
  closing: MeanWeighing,
): { opening: MeanWeighing; closing: MeanWeighing; adjusted: boolean } {
  if (opening.fill === closing.fill) return { opening, closing, adjusted: false };
  const shrunk = (one: MeanWeighing): MeanWeighing =>
    one.fill === 'shrunk' ? one : { ...one, mean: one.mean.times(SHRUNK_SHARE), fill: 'shrunk' };
  return { opening: shrunk(opening), closing: shrunk(closing), adjusted: true };
}
