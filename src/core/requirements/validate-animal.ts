import type { AnimalDescription, Problem, RequirementConditions } from './requirement-set.js';

interface Range {
  readonly field: string;
  readonly value: number | undefined;
  readonly from: number;
  readonly to: number;
  readonly unit: string;
}

function outOfRange({ field, value, from, to, unit }: Range): Problem[] {
  if (value === undefined || (Number.isFinite(value) && value >= from && value <= to)) return [];
  return [
    {
      code: 'out-of-range',
      field,
      given: Number.isFinite(value) ? value : String(value),
      allowed: `${from} to ${to} ${unit}`.trim(),
      message: `${field} must lie between ${from} and ${to} ${unit}.`,
    },
  ];
}

function missing(field: string, allowed: string, message: string): Problem {
  return { code: 'missing', field, given: null, allowed, message };
}

/** Everything that is wrong with the description, at once; an empty list when it can be computed. */
export function animalProblems(animal: AnimalDescription, conditions: RequirementConditions): Problem[] {
  const { diet, weather, activity } = conditions;
  const ranges: Range[] = [
    { field: 'fullBodyWeightKg', value: animal.fullBodyWeightKg, from: 25, to: 1600, unit: 'kg' },
    { field: 'matureFullBodyWeightKg', value: animal.matureFullBodyWeightKg, from: 200, to: 1600, unit: 'kg' },
    { field: 'finalShrunkBodyWeightKg', value: animal.finalShrunkBodyWeightKg, from: 200, to: 1600, unit: 'kg' },
    { field: 'bodyConditionScore', value: animal.bodyConditionScore, from: 1, to: 9, unit: '' },
    { field: 'targetShrunkGainKgPerDay', value: animal.targetShrunkGainKgPerDay, from: 0, to: 3, unit: 'kg/d' },
    { field: 'ageMonths', value: animal.ageMonths, from: 0, to: 360, unit: 'months' },
    { field: 'daysPregnant', value: animal.daysPregnant, from: 0, to: 300, unit: 'days' },
    { field: 'calfBirthWeightKg', value: animal.calfBirthWeightKg, from: 10, to: 80, unit: 'kg' },
    { field: 'daysInMilk', value: animal.daysInMilk, from: 0, to: 600, unit: 'days' },
    { field: 'peakMilkKgPerDay', value: animal.peakMilkKgPerDay, from: 0, to: 60, unit: 'kg/d' },
    { field: 'milkKgPerDay', value: animal.milkKgPerDay, from: 0, to: 60, unit: 'kg/d' },
    { field: 'milkFatPercent', value: animal.milkFatPercent, from: 1, to: 12, unit: '%' },
    { field: 'milkSolidsNotFatPercent', value: animal.milkSolidsNotFatPercent, from: 5, to: 14, unit: '%' },
    { field: 'milkProteinPercent', value: animal.milkProteinPercent, from: 1, to: 8, unit: '%' },
    {
      field: 'diet.netEnergyMaintenanceMcalPerKg',
      value: diet?.netEnergyMaintenanceMcalPerKg,
      from: 0.3,
      to: 3,
      unit: 'Mcal/kg of DM',
    },
    {
      field: 'diet.netEnergyGainMcalPerKg',
      value: diet?.netEnergyGainMcalPerKg,
      from: -1,
      to: 2.5,
      unit: 'Mcal/kg of DM',
    },
    {
      field: 'diet.metabolizableEnergyMcalPerKg',
      value: diet?.metabolizableEnergyMcalPerKg,
      from: 1.1,
      to: 4,
      unit: 'Mcal/kg of DM',
    },
    {
      field: 'diet.totalDigestibleNutrientsPercent',
      value: diet?.totalDigestibleNutrientsPercent,
      from: 33,
      to: 100,
      unit: '% of DM',
    },
    {
      field: 'diet.neutralDetergentFiberPercent',
      value: diet?.neutralDetergentFiberPercent,
      from: 1,
      to: 95,
      unit: '% of DM',
    },
    { field: 'diet.crudeProteinPercent', value: diet?.crudeProteinPercent, from: 0, to: 60, unit: '% of DM' },
    { field: 'diet.fatPercent', value: diet?.fatPercent, from: 0, to: 20, unit: '% of DM' },
    { field: 'diet.forageShare', value: diet?.forageShare, from: 0, to: 1, unit: '' },
    { field: 'weather.temperatureC', value: weather?.temperatureC, from: -60, to: 55, unit: '°C' },
    {
      field: 'weather.previousMonthTemperatureC',
      value: weather?.previousMonthTemperatureC,
      from: -50,
      to: 50,
      unit: '°C',
    },
    { field: 'weather.windKmPerHour', value: weather?.windKmPerHour, from: 0, to: 200, unit: 'km/h' },
    { field: 'weather.hairDepthCm', value: weather?.hairDepthCm, from: 0, to: 10, unit: 'cm' },
    { field: 'weather.mudDepthCm', value: weather?.mudDepthCm, from: 0, to: 100, unit: 'cm' },
    {
      field: 'activity.availableForageTonnesPerHectare',
      value: activity?.availableForageTonnesPerHectare,
      from: 0,
      to: 50,
      unit: 't/ha',
    },
    { field: 'activity.pastureDigestibility', value: activity?.pastureDigestibility, from: 0, to: 1, unit: '' },
    { field: 'activity.pastureIntakeKgPerDay', value: activity?.pastureIntakeKgPerDay, from: 0, to: 60, unit: 'kg/d' },
    { field: 'activity.flatWalkingKmPerDay', value: activity?.flatWalkingKmPerDay, from: 0, to: 50, unit: 'km/d' },
    { field: 'activity.slopedWalkingKmPerDay', value: activity?.slopedWalkingKmPerDay, from: 0, to: 50, unit: 'km/d' },
    { field: 'activity.hoursStandingPerDay', value: activity?.hoursStandingPerDay, from: 0, to: 24, unit: 'h/d' },
    {
      field: 'activity.positionChangesPerDay',
      value: activity?.positionChangesPerDay,
      from: 0,
      to: 100,
      unit: 'a day',
    },
  ];
  const problems = ranges.flatMap(outOfRange);
  if (animal.class === 'dry-pregnant-cow' && animal.daysPregnant === undefined) {
    problems.push(
      missing(
        'daysPregnant',
        '0 to 300 days',
        'A pregnant cow needs the days since conception, at most 300: the day of breeding, or another class if ' +
          'she has calved since.',
      ),
    );
  }
  if (animal.class === 'lactating-cow' && animal.daysInMilk === undefined && animal.milkKgPerDay === undefined) {
    problems.push(
      missing(
        'daysInMilk',
        '0 to 600 days, or milkKgPerDay',
        'A lactating cow needs the days since calving or the milk of the day.',
      ),
    );
  }
  if (
    animal.class === 'first-calf-heifer' &&
    animal.daysInMilk === undefined &&
    animal.milkKgPerDay === undefined &&
    animal.daysPregnant === undefined
  ) {
    problems.push(
      missing(
        'daysPregnant',
        'daysPregnant before calving, daysInMilk after',
        'A first-calf heifer needs the days since conception, at most 300, or since calving.',
      ),
    );
  }
  if (animal.sex !== 'cow' && animal.sex !== 'heifer') {
    for (const field of ['daysPregnant', 'daysInMilk', 'milkKgPerDay'] as const) {
      const given = animal[field];
      if (given !== undefined && given > 0) {
        problems.push({
          code: 'not-for-this-sex',
          field,
          given,
          allowed: 'cows and heifers only',
          message: `${field} cannot be given for a ${animal.sex}.`,
        });
      }
    }
  }
  const femaleOnly = animal.class.endsWith('cow') || animal.class.endsWith('heifer');
  if (femaleOnly && animal.sex !== 'cow' && animal.sex !== 'heifer') {
    problems.push({
      code: 'class-and-sex-differ',
      field: 'sex',
      given: animal.sex,
      allowed: 'cow or heifer',
      message: `A ${animal.class} cannot be a ${animal.sex}.`,
    });
  }
  return problems;
}
