import {
  BREED_MAINTENANCE_FACTORS,
  type FactorRow,
  LACTATION_MAINTENANCE_FACTOR,
  SEX_MAINTENANCE_FACTORS,
} from './maintenance-factors.data.js';
import type { AnimalSex, BreedType } from './requirement-set.js';

/** Shrunk weight is 96 % of full weight. Source: NRC 2000; Arkansas MP391 (notes to the tables). */
export const SHRUNK_SHARE_OF_FULL_WEIGHT = 0.96;

/** Weight after a shrink of 4 %. Source: NRC 2000; Arkansas MP391. */
export function shrunkBodyWeight({ fullBodyWeightKg }: { fullBodyWeightKg: number }): { shrunkBodyWeightKg: number } {
  return { shrunkBodyWeightKg: fullBodyWeightKg * SHRUNK_SHARE_OF_FULL_WEIGHT };
}

function factorFor<Key extends string>(rows: readonly FactorRow<Key>[], key: Key): number {
  const row = rows.find((candidate) => candidate.key === key);
  if (row === undefined) throw new RangeError(`No factor for ${key}`);
  return row.factor;
}

/**
 * Net energy for maintenance, Mcal/d: SBW^0.75 · (0.077 · breed · lactation · condition · sex + a2), condition
 * = 0.8 + 0.05·(BCS − 1), a2 = 0.0007·(20 − temperature of the previous month, °C). The base is Lofgreen &
 * Garrett 1968 (J. Anim. Sci. 27:793), the multipliers NRC 2000 chapters 1 and 10 (breed, sex and condition factors
 * from memory). NASEM 2016 keeps the form.
 */
export function nrc2000MaintenanceEnergy({
  shrunkBodyWeightKg,
  breedType = 'bos-taurus-beef',
  sex,
  lactating,
  bodyConditionScore = 5,
  previousTemperatureC = 20,
}: {
  shrunkBodyWeightKg: number;
  breedType?: BreedType;
  sex: AnimalSex;
  lactating: boolean;
  /** 1 to 9. */
  bodyConditionScore?: number;
  previousTemperatureC?: number;
}): {
  netEnergyMaintenanceMcalPerDay: number;
  metabolicWeightKg: number;
  breedFactor: number;
  sexFactor: number;
  lactationFactor: number;
  conditionFactor: number;
  acclimatizationMcalPerMetabolicKg: number;
} {
  const metabolicWeightKg = shrunkBodyWeightKg ** 0.75;
  const breedFactor = factorFor(BREED_MAINTENANCE_FACTORS, breedType);
  const sexFactor = factorFor(SEX_MAINTENANCE_FACTORS, sex);
  const lactationFactor = lactating ? LACTATION_MAINTENANCE_FACTOR : 1;
  const conditionFactor = 0.8 + 0.05 * (bodyConditionScore - 1);
  const acclimatizationMcalPerMetabolicKg = 0.0007 * (20 - previousTemperatureC);
  return {
    netEnergyMaintenanceMcalPerDay:
      metabolicWeightKg *
      (0.077 * breedFactor * lactationFactor * conditionFactor * sexFactor + acclimatizationMcalPerMetabolicKg),
    metabolicWeightKg,
    breedFactor,
    sexFactor,
    lactationFactor,
    conditionFactor,
    acclimatizationMcalPerMetabolicKg,
  };
}
