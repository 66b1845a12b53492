import type { AnimalDescription } from '../requirements/requirement-set.js';

/** Whether any of these animals is in milk; a milking cow is by her class, where nobody told since when. */
export function anyInMilk(animals: readonly AnimalDescription[]): boolean {
  return animals.some((animal) => animal.class === 'lactating-cow' || animal.daysInMilk !== undefined);
}
