import { type AnimalClass, type AnimalSex, MATURE_COWS } from '../requirements/requirement-set.js';

const FEMALES: readonly AnimalSex[] = ['cow', 'heifer'];

/** The sexes that cattle of a class may be of. Cull cows are finished too. */
export function sexesOf(cattleClass: AnimalClass): readonly AnimalSex[] {
  if (MATURE_COWS.includes(cattleClass) || cattleClass === 'first-calf-heifer') return FEMALES;
  if (cattleClass === 'replacement-heifer') return ['heifer'];
  if (cattleClass === 'bull') return ['bull'];
  return cattleClass === 'finishing' ? ['cow', 'heifer', 'steer', 'bull'] : ['heifer', 'steer', 'bull'];
}

/** Only cows and heifers are bred, calve and have calves weaned from them. */
export function isFemale(sex: AnimalSex): boolean {
  return FEMALES.includes(sex);
}
