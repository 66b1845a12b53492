import type { CalendarDay } from '../time/calendar-day.js';
import type { HerdFactKind } from './herd-on-file.js';

/** On one day, what others are judged by comes first: bred before checked, calved before weaned. */
const WITHIN_A_DAY: readonly HerdFactKind[] = [
  'class',
  'place',
  'target-gain',
  'bred',
  'pregnancy-check',
  'calved',
  'weaned',
  'condition',
  'weight',
];

/**
 * By which facts of herds that are told together are put in order before they are judged, so that it does not matter
 * how they were sorted when they came. Weights come last of all: they are held against the class of their day, which
 * the other facts give, and no other fact is held against a weight.
 */
export function enteringOrder({ kind, on }: { readonly kind: HerdFactKind; readonly on: CalendarDay }): string {
  return `${kind === 'weight' ? 1 : 0} ${on} ${WITHIN_A_DAY.indexOf(kind)}`;
}
