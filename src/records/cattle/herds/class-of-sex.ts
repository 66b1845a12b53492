import { sexesOf } from '../../../core/standing/class-and-sex.js';
import type { AnimalClass, AnimalSex } from '../../../core/requirements/requirement-set.js';
import { ruleBroken } from '../../../platform/http/problem.js';

export const plural = (sex: AnimalSex): string => `${sex}s`;

const words = (code: string): string => code.replaceAll('-', ' ');

/** A class goes with certain sexes: steers are not cows in milk. */
export function refuseClassOfSex(pointer: string, cattleClass: AnimalClass, sex: AnimalSex): void {
  const sexes = sexesOf(cattleClass);
  if (sexes.includes(sex)) return;
  throw ruleBroken(
    pointer,
    'class-not-of-this-sex',
    `${cattleClass}, ${sex}`,
    `${cattleClass} with sex ${sexes.join(' or ')}`,
    `The class ${words(cattleClass)} is for ${sexes.map(plural).join(' or ')}, and the herd is entered as ` +
      `${plural(sex)}. Correct one or the other.`,
  );
}
