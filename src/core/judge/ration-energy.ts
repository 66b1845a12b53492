import { energyAllowableGain, equivalentShrunkBodyWeight, standardReferenceWeight } from '../requirements/gain.js';
import { shrunkBodyWeight } from '../requirements/maintenance.js';
import { DEFAULTS } from '../requirements/requirement-defaults.data.js';
import type { AnimalDescription, RequirementSet } from '../requirements/requirement-set.js';
import type { EvaluationRequest } from './evaluation.js';
import type { RationSupply } from './ration-supply.js';

/** What the energy of a ration does. */
export interface EnergyOfRation {
  readonly shrunkGainKgPerDay: number;
  readonly retainedEnergyMcalPerDay: number;
  readonly netEnergyBalanceMcalPerDay: number;
  readonly equivalentShrunkBodyWeightKg: number;
}

function equivalentWeight(animal: AnimalDescription, requirement: RequirementSet): number {
  const finalShrunkBodyWeightKg =
    animal.finalShrunkBodyWeightKg ??
    (animal.matureFullBodyWeightKg === undefined
      ? DEFAULTS.finalShrunkBodyWeightKg
      : shrunkBodyWeight({ fullBodyWeightKg: animal.matureFullBodyWeightKg }).shrunkBodyWeightKg);
  const { standardReferenceWeightKg } = standardReferenceWeight({
    finishEndPoint: animal.finishEndPoint ?? 'small-28',
  });
  return equivalentShrunkBodyWeight({
    shrunkBodyWeightKg: requirement.shrunkBodyWeightKg,
    finalShrunkBodyWeightKg,
    standardReferenceWeightKg,
  }).equivalentShrunkBodyWeightKg;
}

/** `null` while an energy value is missing. */
export function energyOf({ animal, requirement }: EvaluationRequest, supply: RationSupply): EnergyOfRation | null {
  const { netEnergyMaintenanceMcalPerKg, netEnergyGainMcalPerKg } = supply;
  if (netEnergyMaintenanceMcalPerKg === null || netEnergyGainMcalPerKg === null || netEnergyMaintenanceMcalPerKg <= 0)
    return null;
  const equivalentShrunkBodyWeightKg = equivalentWeight(animal, requirement);
  const energy = energyAllowableGain({
    equivalentShrunkBodyWeightKg,
    dryMatterIntakeKgPerDay: supply.dryMatterKg,
    netEnergyMaintenanceMcalPerKg,
    netEnergyGainMcalPerKg,
    netEnergyMaintenanceTotalMcalPerDay: requirement.netEnergyMaintenanceTotalMcalPerDay,
  });
  return { ...energy, equivalentShrunkBodyWeightKg };
}
