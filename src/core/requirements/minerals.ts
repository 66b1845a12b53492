import { NUTRIENTS } from '../nutrients/nutrients.data.js';
import {
  byCode,
  type MineralByShare,
  MINERALS_BY_SHARE,
  type MineralByUse,
  MINERALS_BY_USE,
  TRACE_NUTRIENTS,
  type TraceNutrient,
} from '../nutrients/nutrients.js';

export const MINERAL_STAGES = ['growing', 'gestating', 'lactating'] as const;
export type MineralStage = (typeof MINERAL_STAGES)[number];

/** Days of pregnancy from which NRC counts calcium and phosphorus for the calf: the last 90. */
const FETAL_MINERAL_FROM_DAY = 193;

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
 * Calcium in the diet, g/d: (0.0154·SBW + 0.071·retained protein + 1.23·milk + 13.7·calf weight/90 in the last 90
 * days) / 0.5. Source: NRC 2000 chapter 5 (from memory); NASEM 2016 keeps it.
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

const EQUATIONS_BY_USE = { calcium: nrc2000Calcium, phosphorus: nrc2000Phosphorus } as const satisfies Record<
  MineralByUse,
  (inputs: FactorialInputs) => FactorialNeed
>;

/** Minerals whose need is the sum of maintenance, gain, milk and calf, g/d with the parts; each by its own equation. */
export function mineralsByUse(inputs: FactorialInputs): Record<MineralByUse, FactorialNeed> {
  return byCode(MINERALS_BY_USE, (mineral) => EQUATIONS_BY_USE[mineral](inputs));
}

/** Trace minerals (mg/d) and vitamins (IU/d), by their share of the dry matter eaten. Source: the nutrient table. */
export function tracesByShare({
  dryMatterIntakeKgPerDay,
  stage,
}: {
  dryMatterIntakeKgPerDay: number;
  stage: MineralStage;
}): Record<TraceNutrient, number> {
  return byCode(TRACE_NUTRIENTS, (code) => dryMatterIntakeKgPerDay * NUTRIENTS[code].ofDryMatter[stage]);
}

const GRAMS_PER_KG = { '% of DM': 10 } as const;

/**
 * Minerals that are needed as a share of the dry matter eaten, g/d. Shares and their source: the nutrient table
 * (Arkansas MP391 Table 1, after NRC 1996).
 */
export function mineralsByShare({
  dryMatterIntakeKgPerDay,
  stage,
}: {
  dryMatterIntakeKgPerDay: number;
  stage: MineralStage;
}): Record<MineralByShare, number> {
  return byCode(MINERALS_BY_SHARE, (mineral) => {
    const { ofDryMatter } = NUTRIENTS[mineral];
    return dryMatterIntakeKgPerDay * ofDryMatter[stage] * GRAMS_PER_KG[ofDryMatter.unit];
  });
}
