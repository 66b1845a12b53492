import { setImmediate } from 'node:timers/promises';
import type { Steps } from '../core/outcome/steps.js';

/** Ends this turn of the event loop: whatever else waits for it comes first. */
export function nextTurn(): Promise<void> {
  return setImmediate();
}

/** Has work done, with a turn of the event loop for so many of its steps. */
export async function inTurns<Answer>(steps: Steps<Answer>, stepsATurn: number): Promise<Answer> {
  for (let taken = 1; ; taken += 1) {
    const step = steps.next();
    if (step.done === true) return step.value;
    if (taken % stepsATurn === 0) await nextTurn();
  }
}
