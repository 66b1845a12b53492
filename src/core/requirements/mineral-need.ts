import { NUTRIENTS } from '../nutrients/nutrients.data.js';
import {
  byCode,
  type Mineral,
  MINERALS_BY_SHARE,
  MINERALS_BY_USE,
  namesInWords,
  type TraceNutrient,
} from '../nutrients/nutrients.js';
import type { AnimalFacts } from './animal-facts.js';
import { mineralsByShare, mineralsByUse, type MineralStage, tracesByShare } from './minerals.js';
import { NRC, type Working } from './working.js';

/** Every mineral of the nutrient table, g/d. */
export function mineralNeed(
  facts: AnimalFacts,
  { intakeKg, netProteinInGainG }: { readonly intakeKg: number; readonly netProteinInGainG: number },
  working: Working,
): Record<Mineral, number> {
  const byUse = mineralsByUse({
    shrunkBodyWeightKg: facts.shrunkKg,
    retainedProteinGPerDay: netProteinInGainG,
    milkKgPerDay: facts.milkKg,
    calfBirthWeightKg: facts.calfBirthWeightKg,
    daysPregnant: facts.daysPregnant,
  });
  for (const mineral of MINERALS_BY_USE) {
    const name = NUTRIENTS[mineral].name.toLowerCase();
    const { maintenanceGPerDay, gainGPerDay, lactationGPerDay, pregnancyGPerDay } = byUse[mineral];
    working.step('minerals', `${name} for maintenance`, maintenanceGPerDay, 'g/d', `${NRC} chapter 5`);
    working.step('minerals', `${name} for gain`, gainGPerDay, 'g/d', `${NRC} chapter 5`);
    working.step('minerals', `${name} for milk`, lactationGPerDay, 'g/d', `${NRC} chapter 5`);
    working.step('minerals', `${name} for the calf`, pregnancyGPerDay, 'g/d', `${NRC} chapter 5`);
  }
  working.step(
    'minerals',
    `${namesInWords(MINERALS_BY_SHARE)} by share of intake`,
    intakeKg,
    'kg DM/d',
    'University of Arkansas MP391, Table 1, after NRC 1996',
  );
  return {
    ...byCode(MINERALS_BY_USE, (mineral) => byUse[mineral].dietaryGPerDay),
    ...mineralsByShare({ dryMatterIntakeKgPerDay: intakeKg, stage: stageOf(facts) }),
  };
}

/** Every trace mineral (mg/d) and vitamin (IU/d) of the nutrient table. */
export function traceNeed(facts: AnimalFacts, intakeKg: number): Record<TraceNutrient, number> {
  return tracesByShare({ dryMatterIntakeKgPerDay: intakeKg, stage: stageOf(facts) });
}

function stageOf(facts: AnimalFacts): MineralStage {
  if (facts.lactating) return 'lactating';
  return facts.cowLike ? 'gestating' : 'growing';
}
