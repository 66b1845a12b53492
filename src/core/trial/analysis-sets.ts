import { type AnimalWeights, weightsOf } from './animal-weights.js';
import { type Departure, departuresOf } from './departures.js';
import { leavesTrial, type TrialAnimal, type TrialProtocol } from './trial-records.js';

export interface AnimalResult {
  readonly animalId: string;
  readonly armId: string;
  readonly penId: string | null;
  readonly startWeightKg: number | null;
  readonly endWeightKg: number | null;
  readonly days: number | null;
  readonly gainKgPerDay: number | null;
  readonly gainTo: 'end' | 'last weighing' | null;
  readonly followedProtocol: boolean;
  readonly departures: readonly Departure[];
  /** Days on feed in the trial, to the day the animal left or the trial ended. */
  readonly headDays: number;
  readonly died: boolean;
  /** Died, was sold or was lost. */
  readonly left: boolean;
  /** In a design with periods: which one, counted from 1; absent in others. */
  readonly period?: number;
}

/**
 * What each animal brings to the analysis: its gain, whether it followed the protocol, and every departure with its
 * treatment. No animal is dropped: one without a gain is listed with the reason. Days and kilograms. `upToDay` is the
 * day of the trial that the records reach to; a running trial has no end weights yet, which is no departure.
 */
export function animalResults({
  protocol,
  animals,
  upToDay = Number.POSITIVE_INFINITY,
}: {
  protocol: TrialProtocol;
  animals: readonly TrialAnimal[];
  upToDay?: number;
}): AnimalResult[] {
  return animals.map((animal) => resultOf(animal, protocol, upToDay));
}

const AS_DRAWN = {
  end: 'counted',
  'last weighing': 'counted to its last weighing',
  none: 'listed, no gain known',
} as const satisfies Record<string, Departure['asDrawn']>;

function resultOf(animal: TrialAnimal, protocol: TrialProtocol, upToDay: number): AnimalResult {
  const weights = weightsOf(animal, protocol, upToDay);
  const { start, finish } = weights;
  const { days, gainKgPerDay, gainTo } = gainOf(weights);
  const departures = departuresOf({
    animal,
    weights,
    protocol,
    endIsDue: upToDay >= Math.max(...protocol.endDays),
    asDrawn: AS_DRAWN[gainTo ?? 'none'],
  });
  const left = animal.events
    .filter((event) => leavesTrial(event.kind))
    .sort((one, other) => one.day - other.day)
    .at(0);
  return {
    animalId: animal.id,
    armId: animal.armId,
    penId: animal.penId,
    startWeightKg: start?.weightKg ?? null,
    endWeightKg: finish?.weightKg ?? null,
    days,
    gainKgPerDay,
    gainTo,
    followedProtocol: gainKgPerDay !== null && departures.every((departure) => departure.perProtocol === 'counted'),
    departures,
    headDays: Math.max(0, Math.min(protocol.lengthDays, upToDay, left?.day ?? protocol.lengthDays)),
    died: animal.events.some((event) => event.kind === 'died'),
    left: left !== undefined,
  };
}

function gainOf({ start, end, finish }: AnimalWeights): Pick<AnimalResult, 'days' | 'gainKgPerDay' | 'gainTo'> {
  if (!start || !finish || !(finish.day > start.day)) return { days: null, gainKgPerDay: null, gainTo: null };
  const days = finish.day - start.day;
  return { days, gainKgPerDay: (finish.weightKg - start.weightKg) / days, gainTo: end ? 'end' : 'last weighing' };
}

export interface UnitValue {
  readonly id: string;
  readonly startWeightKg: number;
  readonly gainKgPerDay: number;
  readonly head: number;
}

/**
 * The units of one arm: its animals, or its pens by the mean of their animals. An animal without a pen counts as a
 * pen of one.
 */
export function unitsOfArm({
  results,
  armId,
  unit,
  set,
}: {
  results: readonly AnimalResult[];
  armId: string;
  unit: 'animal' | 'pen';
  set: 'as-drawn' | 'per-protocol';
}): UnitValue[] {
  const known = results.flatMap((result) =>
    result.armId === armId &&
    result.gainKgPerDay !== null &&
    result.startWeightKg !== null &&
    (set === 'as-drawn' || result.followedProtocol)
      ? [
          {
            id: result.animalId,
            penId: result.penId,
            startWeightKg: result.startWeightKg,
            gainKgPerDay: result.gainKgPerDay,
          },
        ]
      : [],
  );
  if (unit === 'animal')
    return known.map(({ id, startWeightKg, gainKgPerDay }) => ({ id, startWeightKg, gainKgPerDay, head: 1 }));
  const pens = new Map<string, typeof known>();
  for (const animal of known) {
    const pen = animal.penId ?? animal.id;
    pens.set(pen, [...(pens.get(pen) ?? []), animal]);
  }
  return [...pens].map(([id, members]) => ({
    id,
    head: members.length,
    startWeightKg: members.reduce((sum, member) => sum + member.startWeightKg, 0) / members.length,
    gainKgPerDay: members.reduce((sum, member) => sum + member.gainKgPerDay, 0) / members.length,
  }));
}
