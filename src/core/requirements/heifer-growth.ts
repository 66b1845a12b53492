import {
  CALVING_INTERVAL_DAYS,
  CATCHING_UP,
  GESTATION_DAYS,
  HEIFER_EVENTS,
  HEIFER_TARGETS,
  type HeiferEvent,
} from './heifer-targets.data.js';
import { shrunkBodyWeight } from './maintenance.js';
import type { AnimalClass, AnimalDescription, BreedType } from './requirement-set.js';

/** Classes that still grow while they are bred, carry a calf or give milk. */
const HEIFERS: readonly AnimalClass[] = ['replacement-heifer', 'first-calf-heifer'];

export const isHeifer = ({ class: animalClass }: AnimalDescription): boolean => HEIFERS.includes(animalClass);

/** Gives milk: she has calved. */
export const givesMilk = ({ class: animalClass, daysInMilk, milkKgPerDay }: AnimalDescription): boolean =>
  animalClass === 'lactating-cow' ||
  (animalClass === 'first-calf-heifer' && (daysInMilk !== undefined || milkKgPerDay !== undefined));

/** What she should weigh at an event. @throws RangeError if no target is known for the breed type. */
export function targetWeight({
  event,
  matureWeightKg,
  breedType,
}: {
  event: HeiferEvent;
  /** Full or shrunk; the target is told the same way. */
  matureWeightKg: number;
  breedType: BreedType;
}): { share: number; weightKg: number } {
  const row = HEIFER_TARGETS.find(
    ({ event: known, breedTypes }) => known === event && (breedTypes?.includes(breedType) ?? true),
  );
  if (row === undefined) throw new RangeError(`No target for ${event} of ${breedType}`);
  return { share: row.share, weightKg: row.share * matureWeightKg };
}

/** Gain that brings a weight to its target in so many days, kg/d; 0 where it is there already. */
export function gainToTarget({
  weightKg,
  targetWeightKg,
  days,
}: {
  weightKg: number;
  targetWeightKg: number;
  /** Above 0. */
  days: number;
}): { gainKgPerDay: number } {
  if (!(days > 0)) throw new RangeError('The days to a target must be above 0');
  return { gainKgPerDay: Math.max(0, targetWeightKg - weightKg) / days };
}

interface ComingEvent {
  readonly event: HeiferEvent;
  readonly days: number;
}

export interface HeiferGrowth {
  /** Shrunk, calf and fluids apart. */
  readonly gainKgPerDay: number;
  /** The target that asks for the most; `null` where none asks for gain, or none could be asked. */
  readonly toward: (ComingEvent & { readonly share: number; readonly targetShrunkKg: number }) | null;
  /** True where so much is lacking that the target cannot be met in the days left. */
  readonly outOfReach: boolean;
  readonly notCountedBecause:
    | 'mature-weight-not-known'
    | 'day-of-breeding-not-known'
    | 'day-of-calving-not-known'
    | null;
}

const notCounted = (notCountedBecause: HeiferGrowth['notCountedBecause']): HeiferGrowth => ({
  gainKgPerDay: 0,
  toward: null,
  outOfReach: false,
  notCountedBecause,
});

/**
 * The gain that a heifer's own growth calls for: the steepest path from her weight to the targets ahead of her (first
 * breeding, then each calving). It is capped at what heifers can gain, see `CATCHING_UP`. Source: target weights of
 * NRC 2000, `heifer-targets.data.ts`; NRC goes from target to target; here the path starts at what she weighs.
 */
export function heiferGrowth(animal: AnimalDescription, ownShrunkKg: number): HeiferGrowth {
  if (animal.matureFullBodyWeightKg === undefined) return notCounted('mature-weight-not-known');
  const matureWeightKg = shrunkBodyWeight({ fullBodyWeightKg: animal.matureFullBodyWeightKg }).shrunkBodyWeightKg;
  const first = nextEvent(animal);
  if (typeof first === 'string') return notCounted(first);
  const asked = eventsFrom(first).map((coming) => {
    const { share, weightKg } = targetWeight({
      event: coming.event,
      matureWeightKg,
      breedType: animal.breedType ?? 'bos-taurus-beef',
    });
    const { gainKgPerDay } = gainToTarget({
      weightKg: ownShrunkKg,
      targetWeightKg: weightKg,
      days: Math.max(coming.days, CATCHING_UP.overAtLeastDays.value),
    });
    const held = Math.min(gainKgPerDay, CATCHING_UP.mostKgPerDay.value);
    return {
      gainKgPerDay: held,
      toward: { ...coming, share, targetShrunkKg: weightKg },
      outOfReach: weightKg - ownShrunkKg - held * coming.days > MISSED_BY_SHARE * weightKg,
      notCountedBecause: null,
    };
  });
  const steepest = asked.reduce((most, each) => (each.gainKgPerDay > most.gainKgPerDay ? each : most));
  return steepest.gainKgPerDay > 0 ? steepest : notCounted(null);
}

/**
 * A target counts as met within a hundredth of the weight, a difference that no scale can tell. Common practice, no
 * source.
 */
const MISSED_BY_SHARE = 0.01;

/** The next event of her life with the days to it, or why it is not known. */
function nextEvent(animal: AnimalDescription): ComingEvent | NonNullable<HeiferGrowth['notCountedBecause']> {
  const { daysPregnant, daysInMilk, daysToBreeding } = animal;
  const event = givesMilk(animal) || animal.hasCalved === true ? 'second-calving' : 'first-calving';
  if (daysPregnant !== undefined) return { event, days: Math.max(0, GESTATION_DAYS - daysPregnant) };
  if (event === 'second-calving')
    return daysInMilk === undefined
      ? 'day-of-calving-not-known'
      : { event, days: Math.max(0, CALVING_INTERVAL_DAYS - daysInMilk) };
  return daysToBreeding === undefined ? 'day-of-breeding-not-known' : { event: 'first-breeding', days: daysToBreeding };
}

function eventsFrom({ event, days }: ComingEvent): ComingEvent[] {
  const at = HEIFER_EVENTS.indexOf(event);
  let ahead = days;
  return HEIFER_EVENTS.slice(at).map((each, index) => {
    if (index > 0) ahead += HEIFER_EVENTS[at + index - 1] === 'first-breeding' ? GESTATION_DAYS : CALVING_INTERVAL_DAYS;
    return { event: each, days: ahead };
  });
}
