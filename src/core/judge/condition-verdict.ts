import { daysToChangeOneScore } from '../requirements/body-condition.js';
import { type AnimalDescription, MATURE_COWS, type RequirementSet } from '../requirements/requirement-set.js';
import type { ConditionVerdict } from './evaluation.js';
import type { EnergyOfRation } from './ration-energy.js';

/** Where the surplus or shortfall of energy takes a mature cow's condition. */
export function conditionOf(
  animal: AnimalDescription,
  requirement: RequirementSet,
  energy: EnergyOfRation | null,
): ConditionVerdict {
  if (!MATURE_COWS.includes(animal.class))
    return {
      netEnergyBalanceMcalPerDay: energy?.netEnergyBalanceMcalPerDay ?? null,
      direction: null,
      daysToOneScore: null,
      unknownBecause: 'growing-cattle',
    };
  if (energy === null)
    return {
      netEnergyBalanceMcalPerDay: null,
      direction: null,
      daysToOneScore: null,
      unknownBecause: 'no-energy-value',
    };
  const { days, direction } = daysToChangeOneScore({
    shrunkBodyWeightKg: requirement.shrunkBodyWeightKg,
    bodyConditionScore: animal.bodyConditionScore ?? 5,
    netEnergyBalanceMcalPerDay: energy.netEnergyBalanceMcalPerDay,
  });
  return {
    netEnergyBalanceMcalPerDay: energy.netEnergyBalanceMcalPerDay,
    direction,
    daysToOneScore: days,
    unknownBecause: null,
  };
}
