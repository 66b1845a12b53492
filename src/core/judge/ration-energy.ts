import { energyAllowableGain } from '../requirements/gain.js';
import type { EvaluationRequest } from './evaluation.js';
import type { RationSupply } from './ration-supply.js';

/** What the energy of a ration does. */
export type EnergyOfRation = ReturnType<typeof energyAllowableGain>;

/** `null` while an energy value is missing. */
export function energyOf({ requirement }: EvaluationRequest, supply: RationSupply): EnergyOfRation | null {
  const { netEnergyMaintenanceMcalPerKg, netEnergyGainMcalPerKg } = supply;
  if (netEnergyMaintenanceMcalPerKg === null || netEnergyGainMcalPerKg === null || netEnergyMaintenanceMcalPerKg <= 0)
    return null;
  return energyAllowableGain({
    equivalentShrunkBodyWeightKg: requirement.equivalentShrunkBodyWeightKg,
    dryMatterIntakeKgPerDay: supply.dryMatterKg,
    netEnergyMaintenanceMcalPerKg,
    netEnergyGainMcalPerKg,
    netEnergyMaintenanceTotalMcalPerDay: requirement.netEnergyMaintenanceTotalMcalPerDay,
  });
}
