import type { DietUsed, Eater } from './diet-used.js';
import { type EnergyNeed, energyNeed, needOfAnyDiet, totalAsMaintenance } from './energy-need.js';
import { tellEnergy } from './energy-working.js';
import { mineralNeed, traceNeed } from './mineral-need.js';
import { predictedIntake, tellIntake } from './predicted-intake.js';
import { bacterialProteinOf, proteinNeed } from './protein-need.js';
import { crudeProteinFromMetabolizable } from './protein.js';
import type { RequirementConditions, RequirementSet } from './requirement-set.js';
import { waterNeed } from './water-need.js';
import { NRC, type Working } from './working.js';

/** What one animal needs in a day on a given diet. */
export function requirementOnDiet(
  { animal, facts, working }: Eater,
  conditions: RequirementConditions,
  used: DietUsed,
): RequirementSet {
  tellDiet(used, working);
  const need = energyNeed(conditions, facts, used.effective, needOfAnyDiet(animal, conditions, facts));
  tellEnergy(animal, conditions, facts, need, working);
  const intake = predictedIntake(animal, conditions, facts, used.diet);
  tellIntake(intake, facts, working);
  noteEdition(conditions, working);
  const protein = proteinNeed(facts, working);
  const bacteria = bacterialProteinOf(conditions, intake.kg, used.diet, working);
  const minerals = mineralNeed(facts, { intakeKg: intake.kg, netProteinInGainG: protein.netInGain }, working);
  const waterLPerDay = waterNeed(animal, conditions, facts, intake.kg, working);

  return {
    edition: conditions.edition,
    animalClass: animal.class,
    shrunkBodyWeightKg: facts.shrunkKg,
    dryMatterIntakeKgPerDay: intake.kg,
    ...energyFigures(need, facts.retainedEnergy),
    milkKgPerDay: facts.milkKg,
    shrunkGainKgPerDay: facts.gainKg,
    metabolizableProteinGPerDay: protein.metabolizable,
    metabolizableProteinParts: protein.parts,
    crudeProteinGPerDay: crudeProteinFromMetabolizable({ metabolizableProtein: protein.metabolizable }).crudeProtein,
    rumenDegradableProteinGPerDay: bacteria.degradableProteinNeededGPerDay,
    equivalentShrunkBodyWeightKg: facts.equivalentKg,
    bacterialProteinGPerDay: bacteria.bacterialProteinGPerDay,
    minerals,
    traces: traceNeed(facts, intake.kg),
    waterLPerDay,
    efficiencyOfMaintenance: used.effective.efficiencyOfMaintenance,
    diet: dietFigures(used),
    coldMethod: conditions.weather === undefined ? 'none' : (conditions.weather.coldMethod ?? 'heat-balance'),
    lowerCriticalTemperatureC: need.lowerCriticalTemperatureC,
    parts: working.parts,
    notes: working.notes,
  };
}

function tellDiet({ diet, effective, origin }: DietUsed, working: Working): void {
  working.step(
    'diet',
    'NEm of the diet',
    diet.netEnergyMaintenanceMcalPerKg,
    'Mcal/kg of DM',
    origin === 'given' ? 'given' : 'solved: intake covers the need',
  );
  working.step('diet', 'km (NEm/ME)', effective.efficiencyOfMaintenance, '', NRC);
}

function noteEdition({ edition }: RequirementConditions, working: Working): void {
  if (edition !== 'NASEM2016') return;
  working.note(
    'edition-2016',
    'NASEM 2016 differs from NRC 2000 here in bacterial protein, ionophore and walking energy; the other ' +
      'equations are carried over.',
    'NASEM 2016 (from memory)',
  );
}

function energyFigures(need: EnergyNeed, retainedEnergyMcalPerDay: number) {
  return {
    netEnergyMaintenanceMcalPerDay: need.maintenance,
    netEnergyGainMcalPerDay: retainedEnergyMcalPerDay,
    netEnergyPregnancyMcalPerDay: need.pregnancy,
    netEnergyLactationMcalPerDay: need.lactation,
    netEnergyMaintenanceTotalMcalPerDay: totalAsMaintenance(need),
  } satisfies Partial<RequirementSet>;
}

function dietFigures({ diet, origin }: DietUsed): RequirementSet['diet'] {
  return {
    netEnergyMaintenanceMcalPerKg: diet.netEnergyMaintenanceMcalPerKg,
    netEnergyGainMcalPerKg: diet.netEnergyGainMcalPerKg,
    totalDigestibleNutrientsPercent: diet.totalDigestibleNutrientsPercent,
    origin,
  };
}
