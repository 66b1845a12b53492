import type { AnimalClass } from '../requirements/requirement-set.js';
import type { SpaceClass } from './feeding-space.data.js';

/** Calves and heifers need less room at the feed than cows; the published rows go by these classes. */
export function spaceClassOf(animalClass: AnimalClass): SpaceClass {
  switch (animalClass) {
    case 'growing-calf':
    case 'yearling':
    case 'finishing':
      return 'calf';
    case 'replacement-heifer':
    case 'first-calf-heifer':
      return 'bred-heifer';
    case 'bull':
      return 'bull';
    case 'dry-open-cow':
    case 'dry-pregnant-cow':
    case 'lactating-cow':
      return 'cow-1300-lb';
  }
}
