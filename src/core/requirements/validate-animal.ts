import { withArticle } from '../units/counted.js';
import {
  ACTIVITY_LIMITS,
  ANIMAL_LIMITS,
  DIET_LIMITS,
  type Limit,
  type Limits,
  WEATHER_LIMITS,
} from './animal-limits.data.js';
import type { AnimalDescription, Problem, RequirementConditions } from './requirement-set.js';

/** Everything that is wrong with the description, at once; an empty list when it can be computed. */
export function animalProblems(
  animal: AnimalDescription,
  { diet, weather, activity }: RequirementConditions,
): Problem[] {
  return [
    ...outOfLimits('', animal, ANIMAL_LIMITS),
    ...outOfLimits('diet.', diet, DIET_LIMITS),
    ...outOfLimits('weather.', weather, WEATHER_LIMITS),
    ...outOfLimits('activity.', activity, ACTIVITY_LIMITS),
    ...whatItsClassNeeds(animal),
    ...whatItsSexCannotHave(animal),
  ];
}

function outOfLimits<Given extends object>(prefix: string, given: Given | undefined, limits: Limits<Given>): Problem[] {
  if (given === undefined) return [];
  return Object.entries<Limit | undefined>(limits).flatMap(([name, limit]) => {
    const value = given[name as keyof Given] as number | undefined;
    if (value === undefined || limit === undefined) return [];
    const [from, to, unit] = limit;
    if (Number.isFinite(value) && value >= from && value <= to) return [];
    const field = `${prefix}${name}`;
    return [
      {
        code: 'out-of-range',
        field,
        given: Number.isFinite(value) ? value : String(value),
        allowed: `${from} to ${to} ${unit}`.trim(),
        message: `${field} must be between ${from} and ${to} ${unit}.`,
      },
    ];
  });
}

function missing(field: string, allowed: string, message: string): Problem {
  return { code: 'missing', field, given: null, allowed, message };
}

function whatItsClassNeeds(animal: AnimalDescription): Problem[] {
  const { daysPregnant, daysInMilk, milkKgPerDay } = animal;
  if (animal.class === 'dry-pregnant-cow' && daysPregnant === undefined)
    return [
      missing(
        'daysPregnant',
        '0 to 300 days',
        'Enter a breeding date within the last 300 days, or change the class if the cows have calved.',
      ),
    ];
  const milkUnknown = daysInMilk === undefined && milkKgPerDay === undefined;
  if (animal.class === 'lactating-cow' && milkUnknown)
    return [
      missing(
        'daysInMilk',
        '0 to 600 days, or milkKgPerDay',
        'A lactating cow needs the days since calving or the milk of the day.',
      ),
    ];
  if (animal.class === 'first-calf-heifer' && milkUnknown && daysPregnant === undefined)
    return [
      missing(
        'daysPregnant',
        'daysPregnant before calving, daysInMilk after',
        'Enter a breeding date within the last 300 days, or the calving date.',
      ),
    ];
  return [];
}

function whatItsSexCannotHave(animal: AnimalDescription): Problem[] {
  if (animal.sex === 'cow' || animal.sex === 'heifer') return [];
  const problems: Problem[] = (['daysPregnant', 'daysInMilk', 'milkKgPerDay'] as const).flatMap((field) => {
    const given = animal[field];
    if (given === undefined || !(given > 0)) return [];
    return [
      {
        code: 'not-for-this-sex',
        field,
        given,
        allowed: 'cows and heifers only',
        message: `${field} cannot be given for ${withArticle(animal.sex)}.`,
      },
    ];
  });
  const femaleOnly = animal.class.endsWith('cow') || animal.class.endsWith('heifer');
  if (!femaleOnly) return problems;
  return [
    ...problems,
    {
      code: 'class-and-sex-differ',
      field: 'sex',
      given: animal.sex,
      allowed: 'cow or heifer',
      message: `The class ${animal.class} is for a cow or a heifer, not for ${withArticle(animal.sex)}.`,
    },
  ];
}
