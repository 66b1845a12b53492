import { TRIAL_CHOICES } from './trial.data.js';
import type { TrialAnimal, TrialProtocol, Weighing } from './trial-records.js';

/** A weight averaged over the days of one weighing. */
export interface MeanWeight {
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

/** The weights of one animal that its gain is measured from. */
export interface AnimalWeights {
  readonly start: MeanWeight | null;
  /** On the end days of the protocol. */
  readonly end: MeanWeight | null;
  /** The end weight, or the last weight if that came late enough in the trial to stand in for it. */
  readonly finish: MeanWeight | null;
}

/** `upToDay` is the day of the trial that the records reach to. */
export function weightsOf({ weighings }: TrialAnimal, protocol: TrialProtocol, upToDay: number): AnimalWeights {
  const on = (days: readonly number[]) => meanWeight(weighings.filter((weighing) => days.includes(weighing.day)));
  const end = on(protocol.endDays);
  return { start: on(protocol.startDays), end, finish: end ?? lastWeight(weighings, protocol, upToDay) };
}

/** A look at a part of the days asks for a weight late in that part, as the end asks for one late in the trial. */
function lastWeight(
  weighings: readonly Weighing[],
  { startDays, lengthDays }: TrialProtocol,
  upToDay: number,
): MeanWeight | null {
  const lastDay = Math.max(...weighings.map((weighing) => weighing.day));
  if (startDays.includes(lastDay)) return null;
  const lateEnough = lastDay >= TRIAL_CHOICES.lastWeighingShareOfTrial.value * Math.min(lengthDays, upToDay);
  return lateEnough ? meanWeight(weighings.filter((weighing) => weighing.day === lastDay)) : null;
}
