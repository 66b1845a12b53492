import { daysToChangeOneScore } from '../requirements/body-condition.js';
import { type AnimalDescription, MATURE_COWS, type RequirementSet } from '../requirements/requirement-set.js';
import type { ConditionVerdict } from './evaluation.js';
import { JUDGEMENT } from './judgement.data.js';
import type { EnergyOfRation } from './ration-energy.js';

/** Where the surplus or shortfall of energy takes the condition of cows and of heifers that carry or nurse a calf. */
export function conditionOf(
  animal: AnimalDescription,
  requirement: RequirementSet,
  energy: EnergyOfRation | null,
): ConditionVerdict {
  const netEnergyBalanceMcalPerDay = energy?.netEnergyBalanceMcalPerDay ?? null;
  if (!hasACondition(animal))
    return { netEnergyBalanceMcalPerDay, direction: null, daysToOneScore: null, unknownBecause: 'growing-cattle' };
  if (energy === null)
    return {
      netEnergyBalanceMcalPerDay,
      direction: null,
      daysToOneScore: null,
      unknownBecause: 'no-energy-value',
    };
  const { days, direction } = daysToChangeOneScore({
    shrunkBodyWeightKg: requirement.shrunkBodyWeightKg,
    bodyConditionScore: animal.bodyConditionScore ?? 5,
    netEnergyBalanceMcalPerDay: forCondition(animal, requirement, energy),
  });
  // Over more than a year the need itself moves so much that the day of a score means nothing.
  if (days !== null && days > JUDGEMENT.conditionTellsDays.value)
    return { netEnergyBalanceMcalPerDay, direction: 'steady', daysToOneScore: null, unknownBecause: null };
  return { netEnergyBalanceMcalPerDay, direction, daysToOneScore: days, unknownBecause: null };
}

function hasACondition({ class: animalClass, daysPregnant = 0 }: AnimalDescription): boolean {
  return (
    MATURE_COWS.includes(animalClass) ||
    animalClass === 'first-calf-heifer' ||
    (animalClass === 'replacement-heifer' && daysPregnant > 0)
  );
}

/**
 * Energy that fills or empties the reserves, Mcal/d. A heifer grows first: only gain beyond her growth need adds
 * condition, and gain short of it takes none off. Common practice, no source; cows by NRC 2000.
 */
function forCondition(
  { class: animalClass }: AnimalDescription,
  { netEnergyGainMcalPerDay }: RequirementSet,
  { netEnergyBalanceMcalPerDay, retainedEnergyMcalPerDay }: EnergyOfRation,
): number {
  if (MATURE_COWS.includes(animalClass) || netEnergyBalanceMcalPerDay <= 0) return netEnergyBalanceMcalPerDay;
  return Math.max(0, retainedEnergyMcalPerDay - netEnergyGainMcalPerDay);
}
