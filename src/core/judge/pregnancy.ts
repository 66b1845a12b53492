import { DEFAULTS } from '../requirements/requirement-defaults.data.js';
import type { AnimalDescription } from '../requirements/requirement-set.js';

/** `may-be`: nothing recorded says that she is open. What harms a calf is judged as if she carried one. */
type Pregnancy = 'yes' | 'may-be' | 'no';

/** Share of the mature weight from which heifers are put to the bull. Common practice: 55 to 65 %. */
const BREEDING_SHARE_OF_MATURE = 0.55;
/** NRC 2000. */
const SHRUNK_OF_FULL = 0.96;

/**
 * Whether animals carry a calf. A breeding class whose stage nobody told may: first-calf heifers and cows recorded as
 * milking without a calving, and heifers heavy enough to be bred of which no breeding was told.
 */
export function pregnancyOf(animals: readonly AnimalDescription[]): Pregnancy {
  const found = animals.map(ofOne);
  return found.includes('yes') ? 'yes' : found.includes('may-be') ? 'may-be' : 'no';
}

function ofOne(animal: AnimalDescription): Pregnancy {
  const { class: animalClass, daysPregnant, daysInMilk, daysToBreeding, fullBodyWeightKg } = animal;
  if (animalClass === 'dry-pregnant-cow' || (daysPregnant ?? 0) > 0) return 'yes';
  const saidNothing = daysPregnant === undefined && daysInMilk === undefined;
  if (animalClass === 'first-calf-heifer' || animalClass === 'lactating-cow') return saidNothing ? 'may-be' : 'no';
  if (animalClass !== 'replacement-heifer' || !saidNothing || daysToBreeding !== undefined) return 'no';
  const matureKg = animal.matureFullBodyWeightKg ?? DEFAULTS.finalShrunkBodyWeightKg / SHRUNK_OF_FULL;
  return fullBodyWeightKg >= matureKg * BREEDING_SHARE_OF_MATURE ? 'may-be' : 'no';
}
