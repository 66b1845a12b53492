import { type MeanWeighing, nearest, onOneFooting } from '../gain/comparable-weighings.js';
import { type CalendarDay, daysBetween } from '../time/calendar-day.js';
import type { Mass } from '../units/mass.js';

/** Cattle that stand on a day, and how many of them. */
interface Standing {
  readonly on: CalendarDay;
  readonly head: number;
}

/**
 * What cattle weigh that stand before the first day and after the last: their head times the mean of the nearest
 * weighing, if there is one within so many days. Where some stand at both ends, the two weighings are brought to one
 * fill.
 */
export function standingWeights(
  weighings: readonly MeanWeighing[],
  { opening, closing, windowDays }: { opening: Standing; closing: Standing; windowDays: number },
): { opening: Mass | null; closing: Mass | null } {
  const [first, last] = [nearest(weighings, opening.on), nearest(weighings, closing.on)];
  const both = first !== undefined && last !== undefined && opening.head > 0 && closing.head > 0;
  const found = both ? onOneFooting(first, last) : { opening: first, closing: last };
  const weight = (weighing: MeanWeighing | undefined, { on, head }: Standing): Mass | null =>
    weighing === undefined || Math.abs(daysBetween(on, weighing.day)) > windowDays ? null : weighing.mean.times(head);
  return { opening: weight(found.opening, opening), closing: weight(found.closing, closing) };
}
