import { proteinAllowableGain } from '../requirements/protein.js';
import { MATURE_COWS } from '../requirements/requirement-set.js';
import type { EvaluationRequest, GainVerdict } from './evaluation.js';
import type { EnergyOfRation } from './ration-energy.js';
import type { MetabolizableProteinOfRation } from './ration-supply.js';

const unknownGain = (unknownBecause: GainVerdict['unknownBecause']): GainVerdict => ({
  energyAllowableKgPerDay: null,
  proteinAllowableKgPerDay: null,
  expectedKgPerDay: null,
  ruledBy: null,
  unknownBecause,
});

/** The gain that energy and protein allow; the smaller is to be expected. */
export function gainOf(
  { animal, requirement }: EvaluationRequest,
  energy: EnergyOfRation | null,
  protein: MetabolizableProteinOfRation | null,
): GainVerdict {
  if (MATURE_COWS.includes(animal.class)) return unknownGain('mature-cattle');
  if (energy === null) return unknownGain('no-energy-value');
  const byEnergy = energy.shrunkGainKgPerDay;
  const needed = requirement.metabolizableProteinParts;
  const byProtein =
    protein?.supply.value === undefined || protein.supply.value === null
      ? null
      : proteinAllowableGain({
          equivalentShrunkBodyWeightKg: energy.equivalentShrunkBodyWeightKg,
          metabolizableProteinForGainGPerDay:
            protein.supply.value - needed.maintenanceGPerDay - needed.pregnancyGPerDay - needed.lactationGPerDay,
        }).shrunkGainKgPerDay;
  return {
    energyAllowableKgPerDay: byEnergy,
    proteinAllowableKgPerDay: byProtein,
    expectedKgPerDay: byProtein === null ? byEnergy : Math.min(byEnergy, byProtein),
    ruledBy: byProtein === null ? 'energy, protein not known' : byProtein < byEnergy ? 'protein' : 'energy',
    unknownBecause: null,
  };
}
