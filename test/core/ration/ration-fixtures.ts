import type { RationLot } from '../../../src/core/ration/ration';
import { requirementsFor } from '../../../src/core/requirements/requirements-for';
import type {
  AnimalDescription,
  RequirementConditions,
  RequirementSet,
} from '../../../src/core/requirements/requirement-set';

export const KG_PER_LB = 0.45359237;

/** A hay with lab values for the fields given and nothing for the rest. */
export function hay(
  lotName: string,
  dryMatterPercent: number,
  composition: Record<string, number>,
  more: Partial<RationLot> = {},
): RationLot {
  return {
    lotId: lotName,
    lotName,
    dryMatterPercent: { value: dryMatterPercent, origin: 'lab-test' },
    composition: Object.fromEntries(
      Object.entries(composition).map(([field, value]) => [field, { value, origin: 'lab-test' as const }]),
    ),
    isForage: true,
    isLongStem: true,
    isStraw: false,
    isStarchyGrain: false,
    legumeShare: 0,
    canGatherNitrate: false,
    ...more,
  };
}

export const MEADOW = hay('Meadow hay', 88, {
  crudeProteinPercent: 8.5,
  degradableProteinPercentOfCrudeProtein: 65,
  neutralDetergentFiberPercent: 62,
  totalDigestibleNutrientsPercent: 54,
  fatPercent: 2,
  calciumPercent: 0.45,
  phosphorusPercent: 0.2,
  magnesiumPercent: 0.18,
  potassiumPercent: 1.6,
  sulfurPercent: 0.15,
  sodiumPercent: 0.03,
  nitrateNitrogenPpm: 200,
});
export const ALFALFA = hay(
  'Alfalfa',
  90,
  {
    crudeProteinPercent: 18,
    degradableProteinPercentOfCrudeProtein: 75,
    neutralDetergentFiberPercent: 45,
    totalDigestibleNutrientsPercent: 59,
    fatPercent: 2,
    calciumPercent: 1.4,
    phosphorusPercent: 0.24,
    magnesiumPercent: 0.3,
    potassiumPercent: 2.2,
    sulfurPercent: 0.27,
    sodiumPercent: 0.08,
    nitrateNitrogenPpm: 400,
  },
  { legumeShare: 1 },
);
export const STRAW = hay(
  'Wheat straw',
  91,
  {
    crudeProteinPercent: 3.5,
    degradableProteinPercentOfCrudeProtein: 40,
    neutralDetergentFiberPercent: 78,
    totalDigestibleNutrientsPercent: 42,
    fatPercent: 1.5,
    calciumPercent: 0.18,
    phosphorusPercent: 0.06,
    magnesiumPercent: 0.1,
    potassiumPercent: 1.3,
    sulfurPercent: 0.15,
    sodiumPercent: 0.1,
    nitrateNitrogenPpm: 100,
  },
  { isStraw: true },
);

export const DRY_COW: AnimalDescription = {
  class: 'dry-pregnant-cow',
  sex: 'cow',
  fullBodyWeightKg: 1200 * KG_PER_LB,
  daysPregnant: 150,
  bodyConditionScore: 5,
};
export const YEARLING: AnimalDescription = {
  class: 'yearling',
  sex: 'steer',
  fullBodyWeightKg: 300,
  finalShrunkBodyWeightKg: 560,
  targetShrunkGainKgPerDay: 0.6,
  ageMonths: 12,
};

export function needs(
  animal: AnimalDescription,
  conditions: RequirementConditions = { edition: 'NRC2000' },
): RequirementSet {
  const outcome = requirementsFor(animal, conditions);
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value;
}
