import type { ActivityContext, AnimalDescription, DietContext, WeatherContext } from './requirement-set.js';

/** Lowest and highest that the equations can carry, with the unit. Common practice, no source. */
export type Limit = readonly [from: number, to: number, unit: string];
/** Limits of the fields that hold a number. */
export type Limits<Of> = Readonly<
  Partial<
    Record<{ [Field in keyof Of]-?: Exclude<Of[Field], undefined> extends number ? Field : never }[keyof Of], Limit>
  >
>;

export const ANIMAL_LIMITS: Limits<AnimalDescription> = {
  fullBodyWeightKg: [25, 1600, 'kg'],
  matureFullBodyWeightKg: [200, 1600, 'kg'],
  finalShrunkBodyWeightKg: [200, 1600, 'kg'],
  bodyConditionScore: [1, 9, ''],
  targetShrunkGainKgPerDay: [0, 3, 'kg/d'],
  ageMonths: [0, 360, 'months'],
  daysPregnant: [0, 300, 'days'],
  daysToBreeding: [0, 1000, 'days'],
  calfBirthWeightKg: [10, 80, 'kg'],
  daysInMilk: [0, 600, 'days'],
  peakMilkKgPerDay: [0, 60, 'kg/d'],
  milkKgPerDay: [0, 60, 'kg/d'],
  milkFatPercent: [1, 12, '%'],
  milkSolidsNotFatPercent: [5, 14, '%'],
  milkProteinPercent: [1, 8, '%'],
};

export const DIET_LIMITS: Limits<DietContext> = {
  netEnergyMaintenanceMcalPerKg: [0.3, 3, 'Mcal/kg of DM'],
  netEnergyGainMcalPerKg: [-1, 2.5, 'Mcal/kg of DM'],
  metabolizableEnergyMcalPerKg: [1.1, 4, 'Mcal/kg of DM'],
  totalDigestibleNutrientsPercent: [33, 100, '% of DM'],
  neutralDetergentFiberPercent: [1, 95, '% of DM'],
  crudeProteinPercent: [0, 60, '% of DM'],
  fatPercent: [0, 20, '% of DM'],
  forageShare: [0, 1, ''],
};

export const WEATHER_LIMITS = {
  temperatureC: [-60, 55, '°C'],
  previousMonthTemperatureC: [-50, 50, '°C'],
  windKmPerHour: [0, 200, 'km/h'],
  hairDepthCm: [0, 10, 'cm'],
  mudDepthCm: [0, 100, 'cm'],
} as const satisfies Limits<WeatherContext>;

export const ACTIVITY_LIMITS: Limits<ActivityContext> = {
  availableForageTonnesPerHectare: [0, 50, 't/ha'],
  pastureDigestibility: [0, 1, ''],
  pastureIntakeKgPerDay: [0, 60, 'kg/d'],
  flatWalkingKmPerDay: [0, 50, 'km/d'],
  slopedWalkingKmPerDay: [0, 50, 'km/d'],
  hoursStandingPerDay: [0, 24, 'h/d'],
  positionChangesPerDay: [0, 100, 'a day'],
};
