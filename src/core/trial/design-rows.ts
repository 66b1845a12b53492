import { type AnimalResult, animalResults } from './analysis-sets.js';
import type { DesignRow } from './design-analysis.js';
import {
  feedingOf,
  hasPeriods,
  type PenFeedings,
  periodsOf,
  type TrialDesign,
  type TrialPeriod,
} from './trial-design.js';
import { leavesTrial, type TrialAnimal, type TrialProtocol } from './trial-records.js';

/** A trial with a design, and what was drawn for its pens. */
export interface DesignedTrial {
  readonly design: TrialDesign;
  readonly feedings: readonly PenFeedings[];
  readonly protocol: TrialProtocol;
}

/** The protocol of one period, in days of that period: its gain begins once the washout is over. */
export function protocolOfPeriod(
  { design, protocol }: Omit<DesignedTrial, 'feedings'>,
  period: TrialPeriod,
): TrialProtocol {
  const washout = hasPeriods(design) ? design.washoutDays : 0;
  const lengthDays = period.until - period.from;
  return {
    ...protocol,
    lengthDays,
    startDays: protocol.startDays.map((day) => day + washout),
    endDays: protocol.endDays.map((day) => day - protocol.lengthDays + lengthDays),
  };
}

/** The animals that were there when a period began, with its feeding as their arm, in days of that period. */
export function animalsOfPeriod(
  { feedings, protocol }: Pick<DesignedTrial, 'feedings' | 'protocol'>,
  animals: readonly TrialAnimal[],
  period: TrialPeriod,
): TrialAnimal[] {
  const ofPen = new Map(feedings.map((one) => [one.penId, one]));
  const isLast = period.until >= protocol.lengthDays;
  return animals.flatMap((animal) => {
    const drawn = animal.penId === null ? undefined : ofPen.get(animal.penId);
    const left = animal.events.filter((event) => leavesTrial(event.kind)).map((event) => event.day);
    if (drawn === undefined || Math.min(...left, Number.POSITIVE_INFINITY) < period.from) return [];
    return [
      {
        ...animal,
        armId: feedingOf(drawn, period.number),
        weighings: animal.weighings
          .filter(({ day }) => day >= period.from && (isLast || day <= period.until + protocol.endDays.length - 1))
          .map((weighing) => ({ ...weighing, day: weighing.day - period.from })),
        events: animal.events
          .filter(({ day }) => (day >= period.from || period.number === 1) && (isLast || day < period.until))
          .map((event) => ({ ...event, day: event.day - period.from })),
      },
    ];
  });
}

/**
 * What each animal brings to each period that has begun: its gain on the feeding of that period, from the end of the
 * washout to the end of the period. An animal counts once for each period that it began; one that died counts as dead
 * on the feeding that it was fed then.
 */
export function resultsByPeriod(
  trial: DesignedTrial,
  animals: readonly TrialAnimal[],
  upToDay = Number.POSITIVE_INFINITY,
): AnimalResult[] {
  return periodsOf(trial.design, trial.protocol.lengthDays)
    .filter((period) => period.from < upToDay || period.number === 1)
    .flatMap((period) =>
      animalResults({
        protocol: protocolOfPeriod(trial, period),
        animals: animalsOfPeriod(trial, animals, period),
        upToDay: upToDay - period.from,
      }).map((result) => ({ ...result, period: period.number })),
    );
}

/** The rows of the analysis: mean gain of the animals of each pen in each period. */
export function designRows(
  { design, feedings }: Pick<DesignedTrial, 'design' | 'feedings'>,
  results: readonly AnimalResult[],
  set: 'as-drawn' | 'per-protocol',
): DesignRow[] {
  const cells = new Map<string, AnimalResult[]>();
  for (const result of results) {
    if (result.gainKgPerDay === null || result.startWeightKg === null || result.penId === null) continue;
    if (set === 'per-protocol' && !result.followedProtocol) continue;
    const key = JSON.stringify([result.penId, result.period ?? 1]);
    cells.set(key, [...(cells.get(key) ?? []), result]);
  }
  const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
  return [...cells.values()].flatMap((members) => {
    const [first] = members;
    const drawn = feedings.find((one) => one.penId === first?.penId);
    if (first === undefined || drawn === undefined) return [];
    const period = first.period ?? 1;
    return [
      {
        penId: drawn.penId,
        group: design.kind === 'blocked' ? (drawn.block ?? drawn.penId) : drawn.penId,
        period,
        armId: first.armId,
        before: hasPeriods(design) && period > 1 ? feedingOf(drawn, period - 1) : null,
        head: members.length,
        startWeightKg: mean(members.map((one) => one.startWeightKg ?? 0)),
        gainKgPerDay: mean(members.map((one) => one.gainKgPerDay ?? 0)),
      },
    ];
  });
}
