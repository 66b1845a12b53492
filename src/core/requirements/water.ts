import {
  WATER_FOR_SALT,
  WATER_INTAKE,
  WATER_PER_DRY_MATTER,
  WATER_PER_KG_MILK_L,
  WATER_TEMPERATURES_C,
  type WaterClass,
} from './water-intake.data.js';

interface Point {
  readonly at: number;
  readonly value: number;
}

/** Straight line between points in ascending order; flat beyond both ends. */
function interpolate(points: readonly Point[], at: number): number {
  const first = points[0];
  if (first === undefined) throw new RangeError('No points to interpolate between');
  let before = first;
  if (at <= before.at) return before.value;
  for (const point of points) {
    if (at <= point.at)
      return before.value + ((at - before.at) / (point.at - before.at)) * (point.value - before.value);
    before = point;
  }
  return before.value;
}

/**
 * Total water of one animal, L/d, from the table by class, weight and temperature, interpolated on both; beyond the
 * table's weights and temperatures the last value holds (said in `beyondTable`). Source: Winchester & Morris 1956, as
 * tabulated by NRC 2000.
 */
export function winchesterMorris1956Water({
  waterClass,
  weightKg,
  temperatureC,
}: {
  waterClass: WaterClass;
  weightKg: number;
  temperatureC: number;
}): {
  waterLPerDay: number;
  beyondTable: readonly ('weight' | 'temperature')[];
} {
  const rows = WATER_INTAKE.filter((row) => row.class === waterClass);
  const temperatures: readonly number[] = WATER_TEMPERATURES_C;
  let hottest = -Infinity;
  const byWeight = rows.map((row) => {
    const points: Point[] = [];
    row.liters.forEach((liters, column) => {
      const at = temperatures[column];
      if (at !== undefined) points.push({ at, value: liters });
    });
    hottest = Math.max(hottest, points[points.length - 1]?.at ?? -Infinity);
    return { at: row.weightKg, value: interpolate(points, temperatureC) };
  });
  const beyondTable: ('weight' | 'temperature')[] = [];
  if (weightKg < (byWeight[0]?.at ?? 0) || weightKg > (byWeight[byWeight.length - 1]?.at ?? Infinity))
    beyondTable.push('weight');
  if (temperatureC < (temperatures[0] ?? 0) || temperatureC > hottest) beyondTable.push('temperature');
  return { waterLPerDay: interpolate(byWeight, weightKg), beyondTable };
}

/**
 * Total water from the dry matter eaten and the milk given, L/d. Source: Winchester & Morris 1956 per kg of dry matter
 * (from memory).
 */
export function waterFromDryMatter({
  dryMatterIntakeKgPerDay,
  milkKgPerDay,
  temperatureC,
}: {
  dryMatterIntakeKgPerDay: number;
  milkKgPerDay: number;
  temperatureC: number;
}): { waterLPerDay: number; litersPerKgDryMatter: number } {
  const litersPerKgDryMatter = interpolate(
    WATER_PER_DRY_MATTER.map((row) => ({ at: row.temperatureC, value: row.litersPerKg })),
    temperatureC,
  );
  return {
    waterLPerDay: litersPerKgDryMatter * dryMatterIntakeKgPerDay + WATER_PER_KG_MILK_L * milkKgPerDay,
    litersPerKgDryMatter,
  };
}

/**
 * Water beyond the usual for the salt eaten, L/d; sodium of all kinds counts as salt. Source: Oklahoma State University
 * Extension, ANSI-3008.
 */
export function waterForSalt({ sodiumGPerDay }: { sodiumGPerDay: number }): {
  waterLPerDay: number;
  saltGPerDay: number;
} {
  const { usualSaltGPerDay, litersPerGramOfSalt, sodiumShareOfSalt } = WATER_FOR_SALT;
  const saltGPerDay = sodiumGPerDay / sodiumShareOfSalt.value;
  return { waterLPerDay: Math.max(0, saltGPerDay - usualSaltGPerDay.value) * litersPerGramOfSalt.value, saltGPerDay };
}

/**
 * Water to provide, L/d: the larger of the table by class and the figure from dry matter and milk, since the table ends
 * at light cows and a trough that is too small hurts. Both are given.
 */
export function waterNeeded(inputs: {
  waterClass: WaterClass;
  weightKg: number;
  temperatureC: number;
  dryMatterIntakeKgPerDay: number;
  milkKgPerDay: number;
}): {
  waterLPerDay: number;
  tabulatedLPerDay: number;
  fromDryMatterLPerDay: number;
  beyondTable: readonly ('weight' | 'temperature')[];
} {
  const table = winchesterMorris1956Water(inputs);
  const { waterLPerDay: fromDryMatterLPerDay } = waterFromDryMatter(inputs);
  return {
    waterLPerDay: Math.max(table.waterLPerDay, fromDryMatterLPerDay),
    tabulatedLPerDay: table.waterLPerDay,
    fromDryMatterLPerDay,
    beyondTable: table.beyondTable,
  };
}
