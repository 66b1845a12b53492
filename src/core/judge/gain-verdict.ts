import { plain } from '../cautions/caution.js';
import { quantity, sentence, type Words } from '../units/wording.js';
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
  bodyEnergyLostMcalPerDay: null,
  words: null,
  unknownBecause,
});

/** The gain that energy and protein allow; the smaller is to be expected. Short of energy they lose. */
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
          equivalentShrunkBodyWeightKg: requirement.equivalentShrunkBodyWeightKg,
          metabolizableProteinForGainGPerDay:
            protein.supply.value - needed.maintenanceGPerDay - needed.pregnancyGPerDay - needed.lactationGPerDay,
        }).shrunkGainKgPerDay;
  const expectedKgPerDay = byProtein === null ? byEnergy : Math.min(byEnergy, byProtein);
  const ruledBy = byProtein === null ? 'energy, protein not known' : byProtein < byEnergy ? 'protein' : 'energy';
  return {
    energyAllowableKgPerDay: byEnergy,
    proteinAllowableKgPerDay: byProtein,
    expectedKgPerDay,
    bodyEnergyLostMcalPerDay: energy.bodyEnergyLostMcalPerDay,
    words: gainInWords({ expectedKgPerDay, ruledBy }, energy),
    ruledBy,
    unknownBecause: null,
  };
}

const RULED_BY = {
  energy: 'more energy would make it more',
  protein: 'more protein would make it more',
  'energy, protein not known': 'as far as energy goes, since the protein is not known',
} as const;

function gainInWords(
  { expectedKgPerDay, ruledBy }: { readonly expectedKgPerDay: number; readonly ruledBy: keyof typeof RULED_BY },
  energy: EnergyOfRation,
): Words {
  const amount = quantity(Math.abs(expectedKgPerDay), 'kg', 2);
  const loss = wordsOnLoss(energy);
  if (loss !== null) return expectedKgPerDay < 0 ? sentence`They lose ${amount} a day. ${loss}` : loss;
  return expectedKgPerDay < 0
    ? sentence`They lose ${amount} a day: the ration lacks protein.`
    : sentence`They gain ${amount} a day; ${RULED_BY[ruledBy]}.`;
}

function wordsOnLoss({ bodyEnergyLostMcalPerDay: lost, netEnergyBalanceMcalPerDay: balance }: EnergyOfRation) {
  if (lost === 0) return null;
  return (
    `The ration lacks ${plain(-balance, 1)} Mcal of NEm a day for maintenance, calf and milk. To make it up ` +
    `the cattle draw ${plain(lost, 1)} Mcal a day from their bodies and lose weight.`
  );
}
