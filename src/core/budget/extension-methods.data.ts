/**
 * Animal units of a winter hay estimate. Source: Pyles, University of Kentucky Extension, Estimating winter hay needs:
 * each 100 lb of body weight is 0.1 unit.
 */
export const UKY_ANIMAL_UNITS = {
  'mature cow or bull': '1',
  yearling: '0.5',
  calf: '0.25',
} as const;
export type UkyAnimalClass = keyof typeof UKY_ANIMAL_UNITS;
