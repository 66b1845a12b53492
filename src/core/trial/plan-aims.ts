import type { TrialPlanRequest } from './plan-trial.js';
import { TRIAL_CHOICES } from './trial.data.js';

/** Confidence and power of the plan, or the usual ones where it names none. */
export function aimsOf(request: TrialPlanRequest): { confidence: number; power: number } {
  return {
    confidence: request.confidence ?? TRIAL_CHOICES.confidence.value,
    power: request.power ?? TRIAL_CHOICES.power.value,
  };
}
