import type { AnimalDescription, Outcome, RequirementConditions, RequirementSet } from './requirement-set.js';
import { requirementsForHerd } from './requirements-for-herd.js';

/**
 * What one animal needs in a day: energy (Mcal), protein and minerals (g), dry matter (kg), water (L), with the
 * working.
 *
 * Without a diet the leanest one whose predicted intake covers the energy need is solved for (`diet.origin` is
 * `solved`); with one, intake is predicted on it and limited by fiber (NDF given) and by low protein (CP given).
 * Equations: NRC 2000 update, or NASEM 2016 where it differs (bacterial protein, ionophores, walking); each step names
 * its source. Answers `ok: false` with every problem found when the description cannot be computed.
 */
export function requirementsFor(animal: AnimalDescription, conditions: RequirementConditions): Outcome<RequirementSet> {
  return requirementsForHerd([{ share: 1, animal }], conditions);
}
