import type { AnimalFacts } from './animal-facts.js';
import { type DietEnergy, dietEnergy, dietEnergyFromNetEnergyMaintenance } from './diet-energy.js';
import { energyNeed, needOfAnyDiet, totalAsMaintenance } from './energy-need.js';
import { IONOPHORE_INTAKE_FACTOR, IONOPHORE_MAINTENANCE_ENERGY_FACTORS } from './intake-factors.data.js';
import { predictedIntake } from './predicted-intake.js';
import type { AnimalDescription, RequirementConditions, RequirementSet } from './requirement-set.js';
import type { Working } from './working.js';

/** The diet that a requirement is based on. */
export interface DietUsed {
  /** What the feed holds; intake is predicted on it. */
  readonly diet: DietEnergy;
  /** What the animal gets out of it, with the ionophore. */
  readonly effective: DietEnergy;
  readonly origin: RequirementSet['diet']['origin'];
}

/** An animal with the facts that do not depend on its diet, and its share of those that eat together. */
export interface Eater {
  readonly share: number;
  readonly animal: AnimalDescription;
  readonly facts: AnimalFacts;
  readonly working: Working;
}

/**
 * The one diet of animals that eat together, as each of them uses it: the diet given, or else the poorest one whose
 * predicted intake covers the need of them all on average.
 */
export function dietsUsed(
  eaters: readonly Eater[],
  conditions: RequirementConditions,
): readonly { readonly eater: Eater; readonly used: DietUsed }[] {
  for (const { animal, facts, working } of eaters) noteIonophore(animal, conditions, facts, working);
  const usedBy = (diet: DietEnergy, origin: DietUsed['origin']) =>
    eaters.map((eater) => ({
      eater,
      used: { diet, effective: withIonophore(diet, eater.animal, conditions, eater.facts), origin },
    }));
  const given = dietEnergy(conditions.diet);
  if (given !== undefined) return usedBy(given, 'given');
  const each = eaters.map((eater) => ({ share: eater.share, surplusKg: surplusOn(eater, conditions) }));
  const { diet, solved } = solveDiet((tried) =>
    each.reduce((before, { share, surplusKg }) => before + share * surplusKg(tried), 0),
  );
  if (!solved) for (const { working } of eaters) noteUncovered(working);
  return usedBy(diet, solved ? 'solved' : 'closest');
}

function noteUncovered(working: Working): void {
  working.note(
    'no-diet-covers-the-need',
    'At the predicted intake no diet covers this need; the nearest diet is used for intake.',
    'net energy system with the intake equation of the edition',
  );
}

const getsIonophore = (animal: AnimalDescription, { cowLike }: AnimalFacts) => !cowLike && animal.ionophore === true;

function noteIonophore(
  animal: AnimalDescription,
  { edition }: RequirementConditions,
  facts: AnimalFacts,
  working: Working,
): void {
  if (!getsIonophore(animal, facts)) return;
  working.note(
    'ionophore',
    `With the ionophore the NEm of the diet counts ${IONOPHORE_MAINTENANCE_ENERGY_FACTORS[edition]} times; intake is ` +
      `predicted ${IONOPHORE_INTAKE_FACTOR} times.`,
    `${edition === 'NRC2000' ? 'NRC 2000' : 'NASEM 2016'} (from memory)`,
  );
}

function withIonophore(
  diet: DietEnergy,
  animal: AnimalDescription,
  { edition }: RequirementConditions,
  facts: AnimalFacts,
): DietEnergy {
  if (!getsIonophore(animal, facts)) return diet;
  const factor = IONOPHORE_MAINTENANCE_ENERGY_FACTORS[edition];
  return {
    ...diet,
    netEnergyMaintenanceMcalPerKg: diet.netEnergyMaintenanceMcalPerKg * factor,
    efficiencyOfMaintenance: diet.efficiencyOfMaintenance * factor,
  };
}

/** Of any diet: the predicted intake less the dry matter that the need requires, kg/d. */
function surplusOn({ animal, facts }: Eater, conditions: RequirementConditions): (diet: DietEnergy) => number {
  const ofAnyDiet = needOfAnyDiet(animal, conditions, facts);
  return (diet) => {
    const effective = withIonophore(diet, animal, conditions, facts);
    const total = totalAsMaintenance(energyNeed(conditions, facts, effective, ofAnyDiet));
    const left = predictedIntake(animal, conditions, facts, diet).kg - total / effective.netEnergyMaintenanceMcalPerKg;
    if (facts.retainedEnergy === 0) return left;
    // A diet with no energy for gain cannot support one, however much is eaten.
    return diet.netEnergyGainMcalPerKg > 0
      ? left - facts.retainedEnergy / diet.netEnergyGainMcalPerKg
      : -1 - facts.retainedEnergy;
  };
}

const LEANEST_DIET_MCAL = 0.55;
const RICHEST_DIET_MCAL = 2.4;
const DIET_STEP_MCAL = 0.01;

const dietAt = (netEnergyMaintenanceMcalPerKg: number): DietEnergy =>
  dietEnergyFromNetEnergyMaintenance({ netEnergyMaintenanceMcalPerKg });

/**
 * The NEm concentration at which predicted intake just covers the need; if none does, the one that comes nearest.
 * The first crossing from below is taken: the poorest diet that is good enough.
 */
function solveDiet(surplus: (diet: DietEnergy) => number): { diet: DietEnergy; solved: boolean } {
  let low = LEANEST_DIET_MCAL;
  let best = { nem: low, surplus: surplus(dietAt(low)) };
  if (best.surplus >= 0) return { diet: dietAt(low), solved: true };
  for (let step = 1; step <= Math.round((RICHEST_DIET_MCAL - LEANEST_DIET_MCAL) / DIET_STEP_MCAL); step += 1) {
    const nem = LEANEST_DIET_MCAL + step * DIET_STEP_MCAL;
    const left = surplus(dietAt(nem));
    if (left >= 0) return { diet: dietAt(crossingBetween(low, nem, surplus)), solved: true };
    if (left > best.surplus) best = { nem, surplus: left };
    low = nem;
  }
  return { diet: dietAt(best.nem), solved: false };
}

/** Halves the interval until its upper end, which covers the need, is the crossing to the last bit. */
function crossingBetween(low: number, high: number, surplus: (diet: DietEnergy) => number): number {
  for (let middle = (low + high) / 2; low < middle && middle < high; middle = (low + high) / 2)
    if (surplus(dietAt(middle)) < 0) low = middle;
    else high = middle;
  return high;
}
