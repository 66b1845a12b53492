import { TRIAL_CHOICES } from './trial.data.js';
import { leavesTrial, type TrialAnimal, type TrialProtocol, type Weighing } from './trial-records.js';

export type DepartureCode =
  | 'no-start-weight'
  | 'no-end-weight'
  | 'one-of-two-weighings'
  | 'uneven-fill'
  | 'sick'
  | 'moved'
  | 'wrong-feed'
  | 'died'
  | 'sold'
  | 'lost';

export interface Departure {
  readonly code: DepartureCode;
  readonly day: number | null;
  readonly words: string;
  /** How the animal counts in the analysis by arm as drawn (intention to treat). */
  readonly asDrawn: 'counted' | 'counted to its last weighing' | 'listed, no gain known';
  /** How it counts in the analysis of those that followed the protocol. */
  readonly perProtocol: 'counted' | 'left out';
}

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
  /** Days on feed in the trial, to the day it left or ended. */
  readonly headDays: number;
  readonly died: boolean;
}

interface MeanWeight {
  readonly weightKg: number;
  readonly day: number;
  readonly weighings: readonly Weighing[];
}

function meanWeight(weighings: readonly Weighing[]): MeanWeight | null {
  if (weighings.length === 0) return null;
  // Repeats on one day are averaged first, so that each day counts once.
  const days = [...new Set(weighings.map((weighing) => weighing.day))];
  const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
  return {
    weightKg: mean(
      days.map((day) =>
        mean(weighings.filter((weighing) => weighing.day === day).map((weighing) => weighing.weightKg)),
      ),
    ),
    day: mean(days),
    weighings,
  };
}

const EVENT_WORDS: Record<'sick' | 'moved' | 'wrong-feed' | 'died' | 'sold' | 'lost', string> = {
  sick: 'was sick or treated',
  moved: 'was moved out of its arm',
  'wrong-feed': 'got feed of another arm',
  died: 'died',
  sold: 'was sold',
  lost: 'was lost from the trial',
};

/**
 * What each animal brings to the analysis: its gain, whether it followed the protocol, and every departure with its
 * treatment. No animal is dropped: one without a gain is listed with the reason. Days and kilograms. `upToDay` is the
 * day of the trial that the records reach to; a running trial has no end weights yet, and nobody is blamed for it.
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
  const endIsDue = upToDay >= Math.max(...protocol.endDays);
  return animals.map((animal) => {
    const left =
      animal.events.filter((event) => leavesTrial(event.kind)).sort((one, other) => one.day - other.day)[0] ?? null;
    const start = meanWeight(animal.weighings.filter((weighing) => protocol.startDays.includes(weighing.day)));
    const end = meanWeight(animal.weighings.filter((weighing) => protocol.endDays.includes(weighing.day)));
    const last = meanWeight(
      animal.weighings.filter(
        (weighing) =>
          weighing.day === Math.max(...animal.weighings.map((one) => one.day)) &&
          !protocol.startDays.includes(weighing.day),
      ),
    );
    const lastIsLateEnough =
      last !== null && last.day >= TRIAL_CHOICES.lastWeighingShareOfTrial.value * protocol.lengthDays;
    const finish = end ?? (lastIsLateEnough ? last : null);
    const days = start && finish && finish.day > start.day ? finish.day - start.day : null;
    const gainKgPerDay = start && finish && days !== null ? (finish.weightKg - start.weightKg) / days : null;
    const gainTo = gainKgPerDay === null ? null : end ? ('end' as const) : ('last weighing' as const);
    const asDrawn =
      gainTo === 'end'
        ? ('counted' as const)
        : gainTo === 'last weighing'
          ? ('counted to its last weighing' as const)
          : ('listed, no gain known' as const);

    const departures: Departure[] = [];
    const depart = (
      code: DepartureCode,
      day: number | null,
      words: string,
      perProtocol: Departure['perProtocol'] = 'left out',
    ) => {
      departures.push({ code, day, words, asDrawn, perProtocol });
    };
    if (!start) depart('no-start-weight', null, `${animal.id} has no start weight`);
    if (!end && endIsDue) depart('no-end-weight', null, `${animal.id} has no end weight`);
    for (const [one, planned, name] of [
      [start, protocol.startDays, 'start'],
      [end, protocol.endDays, 'end'],
    ] as const) {
      const got = new Set(one?.weighings.map((weighing) => weighing.day) ?? []).size;
      if (one && got < planned.length && (name === 'start' || endIsDue))
        depart(
          'one-of-two-weighings',
          one.day,
          `${animal.id} was weighed on ${got} of ${planned.length} ${name} days`,
          'counted',
        );
    }
    const fills = [...(start?.weighings ?? []), ...(finish?.weighings ?? [])];
    const hours = fills.map((weighing) => weighing.hoursOffFeed);
    const mixed = new Set(fills.map((weighing) => weighing.fill)).size > 1;
    if (fills.length > 0 && (mixed || Math.max(...hours) - Math.min(...hours) > TRIAL_CHOICES.unevenFillHours.value)) {
      depart(
        'uneven-fill',
        finish?.day ?? start?.day ?? null,
        `${animal.id} was not alike in fill at start and end: ` +
          `${mixed ? 'full and shrunk weights' : `${Math.min(...hours)} and ${Math.max(...hours)} hours off feed`}`,
      );
    }
    for (const event of animal.events)
      depart(
        event.kind,
        event.day,
        `${animal.id} ${EVENT_WORDS[event.kind]} on day ${event.day}${event.note ? ` (${event.note})` : ''}`,
      );

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
    };
  });
}

export interface UnitValue {
  readonly id: string;
  readonly startWeightKg: number;
  readonly gainKgPerDay: number;
  readonly head: number;
}

/**
 * The units of one arm: its animals, or its pens by the mean of their animals. An animal without a pen stands as a pen
 * of one.
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
