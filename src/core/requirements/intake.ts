import {
  BODY_FAT_INTAKE_FACTORS,
  FIBER_CAPACITY_PERCENT_OF_WEIGHT,
  FORAGE_CAPACITY,
  LOW_PROTEIN_INTAKE_PERCENT_OF_WEIGHT,
  MUD_INTAKE_FACTORS,
  PROTEIN_THRESHOLD_PERCENT,
  TEMPERATURE_INTAKE_FACTORS,
} from './intake-factors.data.js';

/**
 * Dry matter intake of growing cattle, kg/d: SBW^0.75 · (0.2435·NEm − 0.0466·NEm² − c) / NEm, c = 0.1128 for
 * calves, 0.0869 for yearlings. Below 0.95 Mcal/kg the divisor stays at 0.95.
 * Source: NRC 2000, eq. 7-1 and 7-2 (from memory); NASEM 2016 keeps it.
 * @throws RangeError if NEm is not positive.
 */
export function nrc2000GrowingIntake({
  shrunkBodyWeightKg,
  netEnergyMaintenanceMcalPerKg: nem,
  age,
}: {
  shrunkBodyWeightKg: number;
  netEnergyMaintenanceMcalPerKg: number;
  age: 'calf' | 'yearling';
}): { dryMatterIntakeKgPerDay: number; netEnergyMaintenanceIntakeMcalPerDay: number; divisorMcalPerKg: number } {
  if (!(nem > 0)) throw new RangeError('The NEm of the diet must be above 0');
  const netEnergyMaintenanceIntakeMcalPerDay =
    shrunkBodyWeightKg ** 0.75 * Math.max(0, 0.2435 * nem - 0.0466 * nem * nem - (age === 'calf' ? 0.1128 : 0.0869));
  const divisorMcalPerKg = Math.max(nem, 0.95);
  return {
    dryMatterIntakeKgPerDay: netEnergyMaintenanceIntakeMcalPerDay / divisorMcalPerKg,
    netEnergyMaintenanceIntakeMcalPerDay,
    divisorMcalPerKg,
  };
}

/**
 * Dry matter intake of beef cows, kg/d: SBW^0.75 · (0.04997·NEm² + c) / NEm + 0.2·milk, c = 0.04631 when pregnant,
 * 0.03840 otherwise. The published tables of cows (Arkansas MP391, after NRC 1996) follow it without the 0.95 floor of
 * the divisor that NRC 2000 gives for poor diets: 24.2 lb for 1200 lb in month 7 comes from NEm 0.37 Mcal/lb; so no
 * floor is set here, and fiber capacity and protein limit the intake of poor forage instead. Against pens weighed since
 * 2002 the equation reads 13.9 % low for dry and 16.6 % low for lactating cows (Gross, Oklahoma State University):
 * budgets of hay should allow for it. Source: NRC 2000, eq. 7-3 and 7-4 (from memory); NASEM 2016 recommends it again
 * (confirmed in Lalman, Oklahoma State University 2024).
 * @throws RangeError if NEm is not positive.
 */
export function nrc2000CowIntake({
  shrunkBodyWeightKg,
  netEnergyMaintenanceMcalPerKg: nem,
  pregnant,
  milkKgPerDay,
}: {
  shrunkBodyWeightKg: number;
  netEnergyMaintenanceMcalPerKg: number;
  pregnant: boolean;
  milkKgPerDay: number;
}): { dryMatterIntakeKgPerDay: number; netEnergyMaintenanceIntakeMcalPerDay: number; milkIntakeKgPerDay: number } {
  if (!(nem > 0)) throw new RangeError('The NEm of the diet must be above 0');
  const netEnergyMaintenanceIntakeMcalPerDay =
    shrunkBodyWeightKg ** 0.75 * (0.04997 * nem * nem + (pregnant ? 0.04631 : 0.0384));
  const milkIntakeKgPerDay = 0.2 * milkKgPerDay;
  return {
    dryMatterIntakeKgPerDay: netEnergyMaintenanceIntakeMcalPerDay / nem + milkIntakeKgPerDay,
    netEnergyMaintenanceIntakeMcalPerDay,
    milkIntakeKgPerDay,
  };
}

/** Factor of intake by equivalent weight, interpolated between the rows. Source: NRC 2000 (from memory). */
export function nrc2000BodyFatIntakeFactor({
  equivalentShrunkBodyWeightKg,
}: {
  equivalentShrunkBodyWeightKg: number;
}): { factor: number } {
  let before = BODY_FAT_INTAKE_FACTORS[0];
  if (before === undefined) throw new RangeError('No intake factors');
  if (equivalentShrunkBodyWeightKg <= before.equivalentWeightKg) return { factor: before.factor };
  for (const row of BODY_FAT_INTAKE_FACTORS) {
    if (equivalentShrunkBodyWeightKg <= row.equivalentWeightKg) {
      const share =
        (equivalentShrunkBodyWeightKg - before.equivalentWeightKg) /
        (row.equivalentWeightKg - before.equivalentWeightKg);
      return { factor: before.factor + share * (row.factor - before.factor) };
    }
    before = row;
  }
  return { factor: before.factor };
}

/** Factor of intake by temperature. A step function, as published. Source: NRC 2000 (from memory). */
export function nrc2000TemperatureIntakeFactor({ temperatureC }: { temperatureC: number }): { factor: number } {
  const row = TEMPERATURE_INTAKE_FACTORS.find((candidate) => temperatureC >= candidate.fromC);
  if (row === undefined) throw new RangeError(`No intake factor at ${temperatureC} °C`);
  return { factor: row.factor };
}

/** Factor of intake by depth of mud. A step function, as published. Source: NRC 2000 (from memory). */
export function nrc2000MudIntakeFactor({ mudDepthCm }: { mudDepthCm: number }): { factor: number } {
  const row = MUD_INTAKE_FACTORS.find((candidate) => mudDepthCm >= candidate.fromCm);
  if (row === undefined) throw new RangeError(`No intake factor at ${mudDepthCm} cm of mud`);
  return { factor: row.factor };
}

/**
 * Intake at which the fiber of the diet fills the animal, kg/d: 1.2 % of full weight / NDF. Source: Mertens 1987 (from
 * memory). @throws RangeError if NDF is not positive.
 */
export function mertens1987FiberLimitedIntake({
  fullBodyWeightKg,
  neutralDetergentFiberPercent,
}: {
  fullBodyWeightKg: number;
  neutralDetergentFiberPercent: number;
}): { dryMatterIntakeKgPerDay: number; fiberCapacityKgPerDay: number } {
  if (!(neutralDetergentFiberPercent > 0)) throw new RangeError('NDF must be above 0');
  const fiberCapacityKgPerDay = (FIBER_CAPACITY_PERCENT_OF_WEIGHT / 100) * fullBodyWeightKg;
  return {
    dryMatterIntakeKgPerDay: fiberCapacityKgPerDay / (neutralDetergentFiberPercent / 100),
    fiberCapacityKgPerDay,
  };
}

/** Forage that a cow can hold by digestibility, kg/d. Source: Hibberd & Thrift 1992 (confirmed in Lalman 2024). */
export function hibberdThrift1992ForageCapacity({
  fullBodyWeightKg,
  totalDigestibleNutrientsPercent,
  lactating,
}: {
  fullBodyWeightKg: number;
  totalDigestibleNutrientsPercent: number;
  lactating: boolean;
}): { dryMatterIntakeKgPerDay: number; percentOfWeight: number } {
  const row = FORAGE_CAPACITY.find((candidate) => totalDigestibleNutrientsPercent >= candidate.tdnFromPercent);
  if (row === undefined) throw new RangeError('TDN cannot be negative');
  const percentOfWeight = lactating ? row.lactatingPercent : row.dryPercent;
  return { dryMatterIntakeKgPerDay: (percentOfWeight / 100) * fullBodyWeightKg, percentOfWeight };
}

/**
 * Limit of intake when the diet's crude protein is below 7 % of DM; `null` at or above it. Source: threshold University
 * of Arizona AZ9523 and University of Idaho; intake of unsupplemented poor forage University of Nebraska (from memory).
 */
export function lowProteinIntakeLimit({
  fullBodyWeightKg,
  crudeProteinPercent,
  lactating,
}: {
  fullBodyWeightKg: number;
  crudeProteinPercent: number;
  lactating: boolean;
}): { dryMatterIntakeKgPerDay: number | null } {
  if (crudeProteinPercent >= PROTEIN_THRESHOLD_PERCENT) return { dryMatterIntakeKgPerDay: null };
  return {
    dryMatterIntakeKgPerDay:
      (LOW_PROTEIN_INTAKE_PERCENT_OF_WEIGHT[lactating ? 'lactating' : 'dry'] / 100) * fullBodyWeightKg,
  };
}
