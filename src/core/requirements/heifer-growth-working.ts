import { quantity, sentence } from '../units/wording.js';
import type { HeiferGrowth } from './heifer-growth.js';
import { CATCHING_UP } from './heifer-targets.data.js';
import type { Working } from './working.js';

const NOT_COUNTED_BECAUSE = {
  'mature-weight-not-known': 'her mature weight is not known, and the grown weight of the tables is no target',
  'day-of-breeding-not-known': 'neither a target gain nor the day of breeding is known',
  'day-of-calving-not-known': 'neither a target gain nor the day of calving is known',
} as const;

/** Where a heifer's growth is going, or why it is not counted. */
export function tellHeiferGrowth(
  { toward, gainKgPerDay, outOfReach, notCountedBecause }: HeiferGrowth,
  working: Working,
): void {
  if (notCountedBecause !== null)
    working.note(
      'growth-not-counted',
      `The heifer's own growth is not counted: ${NOT_COUNTED_BECAUSE[notCountedBecause]}.`,
      'NRC 2000: gain follows from target weights',
    );
  if (toward === null) return;
  const event = toward.event.replace('-', ' ');
  const target = `${Math.round(100 * toward.share)} % of mature weight at ${event}`;
  working.step('gain', 'target weight, shrunk', toward.targetShrunkKg, 'kg', `NRC 2000 target weights: ${target}`);
  working.step('gain', 'days to the target', toward.days, 'd', event);
  working.step('gain', 'gain to the target', gainKgPerDay, 'kg/d', 'target less own weight, by the days left');
  working.note(
    'growth-to-target',
    `The heifer's own growth is counted: what brings her to ${target}, calf and fluids apart.`,
    'NRC 2000 target weights; extension teaches 55 to 65 % at breeding and about 85 % before calving',
  );
  const most = quantity(CATCHING_UP.mostKgPerDay.value, 'kg', 1);
  if (outOfReach)
    working.note(
      'growth-target-out-of-reach',
      sentence`In the days left she cannot reach ${target}: no more than ${most} a day is asked.`,
      CATCHING_UP.mostKgPerDay.source,
    );
}
