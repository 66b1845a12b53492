import type { AnimalFacts } from './animal-facts.js';
import type { DietEnergy } from './diet-energy.js';
import { nrc2000LactationProtein } from './lactation.js';
import { nrc2000PregnancyProtein } from './pregnancy.js';
import { bacterialProtein, nrc2000GainProtein, nrc2000MaintenanceProtein } from './protein.js';
import type { RequirementConditions, RequirementSet } from './requirement-set.js';
import { NRC, type Working } from './working.js';

/** g/d. */
interface ProteinNeed {
  readonly metabolizable: number;
  readonly parts: RequirementSet['metabolizableProteinParts'];
  /** Net protein kept in gain: the minerals in gain go with it. */
  readonly netInGain: number;
}

/** Metabolizable protein by its uses. */
export function proteinNeed(facts: AnimalFacts, working: Working): ProteinNeed {
  const maintenance = nrc2000MaintenanceProtein({ shrunkBodyWeightKg: facts.shrunkKg }).metabolizableProteinGPerDay;
  const gain = nrc2000GainProtein({
    equivalentShrunkBodyWeightKg: facts.equivalentKg,
    shrunkGainKgPerDay: facts.gainKg,
    retainedEnergyMcalPerDay: facts.retainedEnergy,
  });
  const pregnancy =
    facts.daysPregnant > 0
      ? nrc2000PregnancyProtein({ calfBirthWeightKg: facts.calfBirthWeightKg, daysPregnant: facts.daysPregnant })
          .metabolizableProteinGPerDay
      : 0;
  const lactation = nrc2000LactationProtein({
    milkKgPerDay: facts.milkKg,
    proteinPercent: facts.milkProteinPercent,
  }).metabolizableProteinGPerDay;
  working.step('protein', 'MP for maintenance', maintenance, 'g/d', `${NRC}: 3.8·SBW^0.75`);
  working.step('protein', 'net protein in gain', gain.netProteinGPerDay, 'g/d', `${NRC}: 268·SWG − 29.4·RE`);
  working.step('protein', 'efficiency of MP for gain', gain.efficiency, '', NRC);
  working.step('protein', 'MP for gain', gain.metabolizableProteinGPerDay, 'g/d', NRC);
  working.step('protein', 'MP for pregnancy', pregnancy, 'g/d', `${NRC} eq. 4-8`);
  working.step('protein', 'MP for milk', lactation, 'g/d', `${NRC}: milk protein/0.65`);
  return {
    metabolizable: maintenance + gain.metabolizableProteinGPerDay + pregnancy + lactation,
    parts: {
      maintenanceGPerDay: maintenance,
      gainGPerDay: gain.metabolizableProteinGPerDay,
      pregnancyGPerDay: pregnancy,
      lactationGPerDay: lactation,
    },
    netInGain: gain.netProteinGPerDay,
  };
}

/** What the rumen microbes can make of the diet's energy, and the degradable protein they need for it. */
export function bacterialProteinOf(
  { edition, diet: given }: RequirementConditions,
  intakeKg: number,
  { totalDigestibleNutrientsPercent }: DietEnergy,
  working: Working,
): ReturnType<typeof bacterialProtein> {
  const bacteria = bacterialProtein({
    edition,
    dryMatterIntakeKgPerDay: intakeKg,
    totalDigestibleNutrientsPercent,
    ...(given?.fatPercent === undefined ? {} : { fatPercent: given.fatPercent }),
  });
  working.step(
    'protein',
    'bacterial protein that the energy allows',
    bacteria.energyAllowedGPerDay,
    'g/d',
    bacteria.equation === 'nrc2000' ? `${NRC}: 0.13·TDN` : 'Galyean & Tedeschi 2014; NASEM 2016',
  );
  working.step(
    'protein',
    'degradable protein that the microbes need',
    bacteria.degradableProteinNeededGPerDay,
    'g/d',
    bacteria.equation === 'nrc2000'
      ? `${NRC}, p. 17, and Patterson et al. 2006: 13 % of TDN, less where the diet is below 65 % of TDN`
      : 'Galyean & Tedeschi 2014; NASEM 2016',
  );
  return bacteria;
}
