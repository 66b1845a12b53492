import { describe } from '../descriptive.js';
import type { TrialJudged, TrialToJudge } from './judgement.js';

/** Mean and spread of the weights of each arm on each day that it was weighed. */
export function growthOf({ arms, animals }: TrialToJudge): TrialJudged['growth'] {
  return arms.flatMap((arm) => {
    const weighings = animals.filter((animal) => animal.armId === arm.id).flatMap((animal) => animal.weighings);
    const days = [...new Set(weighings.map((weighing) => weighing.day))].sort((one, other) => one - other);
    return days.map((day) => {
      const weights = describe(
        weighings.filter((weighing) => weighing.day === day).map((weighing) => weighing.weightKg),
      );
      return {
        armId: arm.id,
        day,
        head: weights.n,
        meanWeightKg: weights.mean,
        sdWeightKg: weights.n > 1 ? weights.sd : null,
      };
    });
  });
}
