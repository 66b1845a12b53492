import {
  MINERAL_REQUIREMENTS,
  type MineralStage,
  SHARE_MINERALS,
  type ShareMineral,
} from './mineral-requirements.data.js';

/** Days of pregnancy from which NRC counts calcium and phosphorus for the calf: the last 90. */
export const FETAL_MINERAL_FROM_DAY = 193;

interface FactorialMineral {
  readonly maintenanceGPerKgWeight: number;
  readonly gGainPerGProtein: number;
  readonly gPerKgMilk: number;
  readonly gFetalPerKgCalf: number;
  readonly absorption: number;
}

interface FactorialInputs {
  readonly shrunkBodyWeightKg: number;
  readonly retainedProteinGPerDay: number;
  readonly milkKgPerDay: number;
  readonly calfBirthWeightKg: number;
  /** 0 when not pregnant. */
  readonly daysPregnant: number;
}

interface FactorialNeed {
  readonly dietaryGPerDay: number;
  readonly maintenanceGPerDay: number;
  readonly gainGPerDay: number;
  readonly lactationGPerDay: number;
  readonly pregnancyGPerDay: number;
}

function factorial(mineral: FactorialMineral, inputs: FactorialInputs): FactorialNeed {
  const maintenanceGPerDay = (mineral.maintenanceGPerKgWeight * inputs.shrunkBodyWeightKg) / mineral.absorption;
  const gainGPerDay = (mineral.gGainPerGProtein * inputs.retainedProteinGPerDay) / mineral.absorption;
  const lactationGPerDay = (mineral.gPerKgMilk * inputs.milkKgPerDay) / mineral.absorption;
  const pregnancyGPerDay =
    inputs.daysPregnant >= FETAL_MINERAL_FROM_DAY
      ? (mineral.gFetalPerKgCalf * inputs.calfBirthWeightKg) / 90 / mineral.absorption
      : 0;
  return {
    dietaryGPerDay: maintenanceGPerDay + gainGPerDay + lactationGPerDay + pregnancyGPerDay,
    maintenanceGPerDay,
    gainGPerDay,
    lactationGPerDay,
    pregnancyGPerDay,
  };
}

/**
 * Calcium in the diet, g/d: (0.0154·SBW + 0.071·retained protein + 1.23·milk + 13.7·calf weight/90 in the last 90 days)
 * / 0.5. Source: NRC 2000 chapter 5 (from memory); NASEM 2016 keeps it.
 */
export function nrc2000Calcium(inputs: FactorialInputs): FactorialNeed {
  return factorial(
    {
      maintenanceGPerKgWeight: 0.0154,
      gGainPerGProtein: 0.071,
      gPerKgMilk: 1.23,
      gFetalPerKgCalf: 13.7,
      absorption: 0.5,
    },
    inputs,
  );
}

/**
 * Phosphorus in the diet, g/d: (0.016·SBW + 0.039·retained protein + 0.95·milk + 7.6·calf weight/90 in the last 90
 * days) / 0.68. Source: NRC 2000 chapter 5 (from memory); NASEM 2016 keeps it.
 */
export function nrc2000Phosphorus(inputs: FactorialInputs): FactorialNeed {
  return factorial(
    {
      maintenanceGPerKgWeight: 0.016,
      gGainPerGProtein: 0.039,
      gPerKgMilk: 0.95,
      gFetalPerKgCalf: 7.6,
      absorption: 0.68,
    },
    inputs,
  );
}

/**
 * Magnesium, potassium, sulfur and sodium, g/d, as shares of the dry matter eaten. Source: Arkansas MP391 Table 1,
 * after NRC 1996.
 */
export function shareMinerals({
  dryMatterIntakeKgPerDay,
  stage,
}: {
  dryMatterIntakeKgPerDay: number;
  stage: MineralStage;
}): Record<ShareMineral, number> {
  const need = (mineral: ShareMineral) => {
    const row = MINERAL_REQUIREMENTS.find((candidate) => candidate.mineral === mineral);
    if (row === undefined) throw new RangeError(`No requirement for ${mineral}`);
    return dryMatterIntakeKgPerDay * row[stage] * 10;
  };
  return Object.fromEntries(SHARE_MINERALS.map((mineral) => [mineral, need(mineral)])) as Record<ShareMineral, number>;
}
