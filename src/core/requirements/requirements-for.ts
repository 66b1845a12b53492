import { fromBaseUnit } from '../units/unit.js';
import { refused, succeeded } from '../outcome/outcome.js';
import { NUTRIENTS } from '../nutrients/nutrients.data.js';
import { byCode, MINERALS_BY_SHARE, MINERALS_BY_USE, namesInWords } from '../nutrients/nutrients.js';
import { csiro1990GrazingEnergy, foxTylutki1998ActivityEnergy } from './activity.js';
import {
  amesInsley1975EffectiveTemperature,
  celsiusFromFahrenheit,
  coatDescription,
  coldRuleOfThumb,
  fahrenheitFromCelsius,
  nrc2000ColdStress,
} from './cold.js';
import { type DietEnergy, dietEnergy, dietEnergyFromNetEnergyMaintenance } from './diet-energy.js';
import { equivalentShrunkBodyWeight, nrc2000RetainedEnergy, standardReferenceWeight } from './gain.js';
import {
  IONOPHORE_INTAKE_FACTOR,
  IONOPHORE_MAINTENANCE_ENERGY_FACTORS,
  NO_IMPLANT_INTAKE_FACTOR,
} from './intake-factors.data.js';
import {
  lowProteinIntakeLimit,
  mertens1987FiberLimitedIntake,
  nrc2000BodyFatIntakeFactor,
  nrc2000CowIntake,
  nrc2000GrowingIntake,
  nrc2000MudIntakeFactor,
  nrc2000TemperatureIntakeFactor,
} from './intake.js';
import {
  MILK_SHARE_BY_AGE,
  nrc2000LactationProtein,
  nrc2000MilkEnergy,
  nrc2000MilkYield,
  TYPICAL_MILK,
} from './lactation.js';
import { PANTING_MAINTENANCE_FACTORS } from './maintenance-factors.data.js';
import { nrc2000MaintenanceEnergy, shrunkBodyWeight } from './maintenance.js';
import { mineralsByShare, mineralsByUse, type MineralStage } from './minerals.js';
import { nrc2000ConceptusWeight, nrc2000PregnancyEnergy, nrc2000PregnancyProtein } from './pregnancy.js';
import {
  bacterialProtein,
  crudeProteinFromMetabolizable,
  nrc2000GainProtein,
  nrc2000MaintenanceProtein,
} from './protein.js';
import type {
  AnimalDescription,
  Outcome,
  RequirementConditions,
  RequirementFamily,
  RequirementNote,
  RequirementSet,
  WorkingStep,
} from './requirement-set.js';
import { animalProblems } from './validate-animal.js';
import type { WaterClass } from './water-intake.data.js';
import { waterNeeded } from './water.js';

const NRC = 'NRC 2000';
/** Defaults used when nothing is told; every use is noted in the answer. */
const DEFAULTS = {
  calfBirthWeightKg: 38.5,
  peakMilkKgPerDay: 8,
  finalShrunkBodyWeightKg: 533,
  hairDepthCm: 1.5,
  waterTemperatureC: 10,
  availableForageTonnesPerHectare: 2,
  pastureDigestibility: 0.6,
} as const;

/** Everything about the animal that does not depend on its diet. */
interface AnimalFacts {
  readonly shrunkKg: number;
  readonly score: number;
  readonly daysPregnant: number;
  readonly calfBirthWeightKg: number;
  readonly milkKg: number;
  readonly lactating: boolean;
  readonly milkEnergy: number;
  readonly milkProteinPercent: number;
  readonly gainKg: number;
  readonly equivalentKg: number;
  readonly retainedEnergy: number;
  readonly ageMonths: number;
  readonly cowLike: boolean;
  readonly intakeAge: 'calf' | 'yearling';
}

class Working {
  readonly parts: Partial<Record<RequirementFamily, WorkingStep[]>> = {};
  readonly notes: RequirementNote[] = [];

  step(family: RequirementFamily, name: string, value: number, unit: string, source: string): void {
    (this.parts[family] ??= []).push({ name, value, unit, source });
  }

  note(code: string, message: string, source: string): void {
    if (!this.notes.some((known) => known.code === code)) this.notes.push({ code, message, source });
  }
}

function factsOf(animal: AnimalDescription, working: Working): AnimalFacts {
  const shrunkKg = shrunkBodyWeight(animal).shrunkBodyWeightKg;
  const matureShrunkKg =
    animal.matureFullBodyWeightKg === undefined
      ? undefined
      : shrunkBodyWeight({ fullBodyWeightKg: animal.matureFullBodyWeightKg }).shrunkBodyWeightKg;
  const cowClass =
    animal.class === 'dry-open-cow' || animal.class === 'dry-pregnant-cow' || animal.class === 'lactating-cow';
  const mayBePregnant =
    animal.class === 'dry-pregnant-cow' ||
    animal.class === 'lactating-cow' ||
    animal.class === 'first-calf-heifer' ||
    animal.class === 'replacement-heifer';
  const daysPregnant = mayBePregnant ? (animal.daysPregnant ?? 0) : 0;
  const mayMilk =
    animal.class === 'lactating-cow' ||
    (animal.class === 'first-calf-heifer' && (animal.daysInMilk !== undefined || animal.milkKgPerDay !== undefined));

  let calfBirthWeightKg = 0;
  if (daysPregnant > 0) {
    calfBirthWeightKg = animal.calfBirthWeightKg ?? DEFAULTS.calfBirthWeightKg;
    if (animal.calfBirthWeightKg === undefined) {
      working.note(
        'default-calf-birth-weight',
        `Calf birth weight taken as ${DEFAULTS.calfBirthWeightKg} kg.`,
        'NRC 2000, Table 4-2',
      );
    }
  }

  let milkKg = 0;
  if (mayMilk) {
    const share = animal.class === 'first-calf-heifer' ? MILK_SHARE_BY_AGE.two : MILK_SHARE_BY_AGE.mature;
    const peak = animal.peakMilkKgPerDay ?? DEFAULTS.peakMilkKgPerDay * share;
    if (animal.milkKgPerDay !== undefined) milkKg = animal.milkKgPerDay;
    else {
      if (animal.peakMilkKgPerDay === undefined) {
        working.note(
          'default-peak-milk',
          `Milk at the peak taken as ${peak.toFixed(2)} kg/d.`,
          'NRC 2000 tables of beef cows (from memory); first calvers give 0.74 of mature cows',
        );
      }
      milkKg = nrc2000MilkYield({ peakMilkKgPerDay: peak, weekOfLactation: (animal.daysInMilk ?? 0) / 7 }).milkKgPerDay;
    }
  }
  const milkEnergy = nrc2000MilkEnergy({
    fatPercent: animal.milkFatPercent ?? TYPICAL_MILK.fatPercent,
    solidsNotFatPercent: animal.milkSolidsNotFatPercent ?? TYPICAL_MILK.solidsNotFatPercent,
  }).milkEnergyMcalPerKg;

  const reference = standardReferenceWeight({
    finishEndPoint: animal.finishEndPoint ?? 'small-28',
  }).standardReferenceWeightKg;
  let finalKg = animal.finalShrunkBodyWeightKg ?? matureShrunkKg;
  if (finalKg === undefined) {
    if (cowClass || animal.class === 'bull') finalKg = Math.max(shrunkKg, DEFAULTS.finalShrunkBodyWeightKg);
    else {
      finalKg = DEFAULTS.finalShrunkBodyWeightKg;
      working.note(
        'default-final-weight',
        `Grown (final shrunk) weight taken as ${DEFAULTS.finalShrunkBodyWeightKg} kg.`,
        'NRC 2000, table of growing cattle',
      );
    }
  }
  const { equivalentShrunkBodyWeightKg: equivalentKg } = equivalentShrunkBodyWeight({
    shrunkBodyWeightKg: shrunkKg,
    finalShrunkBodyWeightKg: finalKg,
    standardReferenceWeightKg: reference,
  });
  const gainKg = animal.targetShrunkGainKgPerDay ?? 0;
  const retained = nrc2000RetainedEnergy({ equivalentShrunkBodyWeightKg: equivalentKg, shrunkGainKgPerDay: gainKg });
  working.step('gain', 'equivalent shrunk weight', equivalentKg, 'kg', `${NRC}: SBW·SRW/final weight`);
  working.step(
    'gain',
    'retained energy',
    retained.retainedEnergyMcalPerDay,
    'Mcal/d',
    `${NRC}: 0.0635·EQEBW^0.75·EBG^1.097`,
  );

  const cowLike =
    cowClass ||
    animal.class === 'first-calf-heifer' ||
    daysPregnant > 0 ||
    (animal.class === 'bull' && shrunkKg >= 0.9 * finalKg);
  const defaultAge = cowLike || animal.class === 'bull' ? 36 : animal.class === 'growing-calf' ? 9 : 15;
  const ageMonths = animal.ageMonths ?? defaultAge;
  const intakeAge =
    animal.class === 'growing-calf' || (animal.class === 'replacement-heifer' && ageMonths < 12) ? 'calf' : 'yearling';
  return {
    shrunkKg,
    score: animal.bodyConditionScore ?? 5,
    daysPregnant,
    calfBirthWeightKg,
    milkKg,
    lactating: mayMilk,
    milkEnergy,
    milkProteinPercent: animal.milkProteinPercent ?? TYPICAL_MILK.proteinPercent,
    gainKg,
    equivalentKg,
    retainedEnergy: retained.retainedEnergyMcalPerDay,
    ageMonths,
    cowLike,
    intakeAge,
  };
}

interface IntakeAnswer {
  readonly kg: number;
  readonly predictedKg: number;
  readonly limitedBy: 'prediction' | 'fibre' | 'protein';
  readonly factor: number;
}

/** Predicted intake with its adjustments and limits. */
function intakeOf(
  animal: AnimalDescription,
  conditions: RequirementConditions,
  facts: AnimalFacts,
  diet: DietEnergy,
): IntakeAnswer {
  const base = facts.cowLike
    ? nrc2000CowIntake({
        shrunkBodyWeightKg: facts.shrunkKg,
        netEnergyMaintenanceMcalPerKg: diet.netEnergyMaintenanceMcalPerKg,
        pregnant: facts.daysPregnant > 0,
        milkKgPerDay: facts.milkKg,
      }).dryMatterIntakeKgPerDay
    : nrc2000GrowingIntake({
        shrunkBodyWeightKg: facts.shrunkKg,
        netEnergyMaintenanceMcalPerKg: diet.netEnergyMaintenanceMcalPerKg,
        age: facts.intakeAge,
      }).dryMatterIntakeKgPerDay *
      nrc2000BodyFatIntakeFactor({ equivalentShrunkBodyWeightKg: facts.equivalentKg }).factor;
  let factor = 1;
  if (!facts.cowLike && animal.implanted === false) factor *= NO_IMPLANT_INTAKE_FACTOR;
  if (!facts.cowLike && animal.ionophore === true) factor *= IONOPHORE_INTAKE_FACTOR;
  if (conditions.weather !== undefined) {
    factor *= nrc2000TemperatureIntakeFactor({ temperatureC: conditions.weather.temperatureC }).factor;
    factor *= nrc2000MudIntakeFactor({ mudDepthCm: conditions.weather.mudDepthCm ?? 0 }).factor;
  }
  const predictedKg = base * factor;
  let kg = predictedKg;
  let limitedBy: IntakeAnswer['limitedBy'] = 'prediction';
  const ndf = conditions.diet?.neutralDetergentFiberPercent;
  if (ndf !== undefined) {
    const fibre = mertens1987FiberLimitedIntake({
      fullBodyWeightKg: animal.fullBodyWeightKg,
      neutralDetergentFiberPercent: ndf,
    }).dryMatterIntakeKgPerDay;
    if (fibre < kg) {
      kg = fibre;
      limitedBy = 'fibre';
    }
  }
  const crudeProteinPercent = conditions.diet?.crudeProteinPercent;
  if (crudeProteinPercent !== undefined) {
    const limit = lowProteinIntakeLimit({
      fullBodyWeightKg: animal.fullBodyWeightKg,
      crudeProteinPercent,
      lactating: facts.lactating,
    }).dryMatterIntakeKgPerDay;
    if (limit !== null && limit < kg) {
      kg = limit;
      limitedBy = 'protein';
    }
  }
  return { kg, predictedKg, limitedBy, factor };
}

interface EnergyNeed {
  readonly maintenance: number;
  readonly base: number;
  readonly activity: number;
  readonly cold: number;
  readonly heat: number;
  readonly pregnancy: number;
  readonly lactation: number;
  readonly lowerCriticalTemperatureC: number | null;
  readonly effectiveTemperatureC: number | null;
  readonly extraPercent: number | null;
}

/** Energy need on one diet. The thermoneutral intake of ME carries the heat production of the cold model. */
function energyNeed(
  animal: AnimalDescription,
  conditions: RequirementConditions,
  facts: AnimalFacts,
  diet: DietEnergy,
): EnergyNeed {
  const { weather, activity } = conditions;
  const base = nrc2000MaintenanceEnergy({
    shrunkBodyWeightKg: facts.shrunkKg,
    breedType: animal.breedType ?? 'bos-taurus-beef',
    sex: animal.sex,
    lactating: facts.lactating,
    bodyConditionScore: facts.score,
    previousTemperatureC: weather?.previousMonthTemperatureC ?? 20,
  }).netEnergyMaintenanceMcalPerDay;
  const heat = base * (PANTING_MAINTENANCE_FACTORS[weather?.panting ?? 'none'] - 1);

  let activityEnergy = 0;
  if (activity?.grazing === true) {
    activityEnergy =
      conditions.edition === 'NASEM2016' &&
      (activity.flatWalkingKmPerDay !== undefined || activity.slopedWalkingKmPerDay !== undefined)
        ? foxTylutki1998ActivityEnergy({
            fullBodyWeightKg: animal.fullBodyWeightKg,
            hoursStandingPerDay: activity.hoursStandingPerDay ?? 18,
            positionChangesPerDay: activity.positionChangesPerDay ?? 6,
            flatWalkingKmPerDay: activity.flatWalkingKmPerDay ?? 0,
            slopedWalkingKmPerDay: activity.slopedWalkingKmPerDay ?? 0,
          }).netEnergyActivityMcalPerDay
        : csiro1990GrazingEnergy({
            fullBodyWeightKg: animal.fullBodyWeightKg,
            pastureIntakeKgPerDay: activity.pastureIntakeKgPerDay ?? 0.02 * facts.shrunkKg,
            pastureDigestibility: activity.pastureDigestibility ?? DEFAULTS.pastureDigestibility,
            availableForageTonnesPerHectare:
              activity.availableForageTonnesPerHectare ?? DEFAULTS.availableForageTonnesPerHectare,
            terrain: activity.terrain ?? 'level',
          }).netEnergyActivityMcalPerDay;
  }
  const km = diet.efficiencyOfMaintenance;
  const conceptus =
    facts.daysPregnant > 0
      ? nrc2000PregnancyEnergy({
          calfBirthWeightKg: facts.calfBirthWeightKg,
          daysPregnant: facts.daysPregnant,
          efficiencyOfMaintenance: km,
        })
      : undefined;
  const pregnancy = conceptus?.netEnergyPregnancyMcalPerDay ?? 0;
  const lactation = facts.milkKg * facts.milkEnergy;

  let cold = 0;
  let lowerCriticalTemperatureC: number | null = null;
  let effectiveTemperatureC: number | null = null;
  let extraPercent: number | null = null;
  if (weather !== undefined) {
    const coat = weather.coat ?? 'clean-and-dry';
    const hairDepthCm = weather.hairDepthCm ?? DEFAULTS.hairDepthCm;
    const windKmPerHour = weather.windKmPerHour ?? 0;
    if (weather.coldMethod === 'rule-of-thumb') {
      const effective = amesInsley1975EffectiveTemperature({
        temperatureF: fahrenheitFromCelsius({ celsius: weather.temperatureC }).fahrenheit,
        windMph: fromBaseUnit(windKmPerHour, 'mph'),
      }).effectiveTemperatureF;
      const rule = coldRuleOfThumb({
        effectiveTemperatureF: effective,
        coat: coatDescription({ coat, hairDepthCm }).coat,
      });
      extraPercent = rule.extraPercent;
      // The worked examples raise the whole ration of the cow, calf and milk included, not maintenance alone.
      cold = ((base + activityEnergy + pregnancy + lactation) * rule.extraPercent) / 100;
      lowerCriticalTemperatureC = celsiusFromFahrenheit({ fahrenheit: rule.lowerCriticalTemperatureF }).celsius;
      effectiveTemperatureC = celsiusFromFahrenheit({ fahrenheit: effective }).celsius;
    } else {
      // Heat of an animal that eats what it needs in comfort: the ME of that intake less what stays in gain, calf and
      // milk.
      const meMaintenance = (base + activityEnergy) / km;
      const meProducts = (conceptus?.metabolizableEnergyPregnancyMcalPerDay ?? 0) + lactation / km;
      const meGain =
        diet.netEnergyGainMcalPerKg > 0
          ? (facts.retainedEnergy * diet.metabolizableEnergyMcalPerKg) / diet.netEnergyGainMcalPerKg
          : facts.retainedEnergy;
      const kept = facts.retainedEnergy + lactation + (conceptus?.conceptusEnergyMcalPerDay ?? 0);
      const answer = nrc2000ColdStress({
        shrunkBodyWeightKg: facts.shrunkKg,
        heatProductionMcalPerDay: meMaintenance + meProducts + meGain - kept,
        temperatureC: weather.temperatureC,
        windKmPerHour,
        hairDepthCm,
        coat,
        hide: weather.hide ?? 'average',
        ageMonths: facts.ageMonths,
        bodyConditionScore: facts.score,
        efficiencyOfMaintenance: km,
      });
      cold = answer.netEnergyColdMcalPerDay;
      lowerCriticalTemperatureC = answer.lowerCriticalTemperatureC;
      effectiveTemperatureC = weather.temperatureC;
    }
  }
  return {
    maintenance: base + heat + activityEnergy + cold,
    base,
    activity: activityEnergy,
    cold,
    heat,
    pregnancy,
    lactation,
    lowerCriticalTemperatureC,
    effectiveTemperatureC,
    extraPercent,
  };
}

const LEANEST_DIET_MCAL = 0.55;
const RICHEST_DIET_MCAL = 2.4;
const DIET_STEP_MCAL = 0.01;

/**
 * The NEm concentration at which predicted intake just covers the need; if none does, the one that comes nearest.
 * The first crossing from below is taken: the poorest diet that is good enough.
 */
function solveDiet(surplus: (diet: DietEnergy) => number): { diet: DietEnergy; solved: boolean } {
  const at = (nem: number) => dietEnergyFromNetEnergyMaintenance({ netEnergyMaintenanceMcalPerKg: nem });
  let low = LEANEST_DIET_MCAL;
  let best = { nem: low, surplus: surplus(at(low)) };
  if (best.surplus >= 0) return { diet: at(low), solved: true };
  for (let step = 1; step <= Math.round((RICHEST_DIET_MCAL - LEANEST_DIET_MCAL) / DIET_STEP_MCAL); step += 1) {
    const nem = LEANEST_DIET_MCAL + step * DIET_STEP_MCAL;
    const left = surplus(at(nem));
    if (left >= 0) {
      let high = nem;
      for (let turn = 0; turn < 60; turn += 1) {
        const middle = (low + high) / 2;
        if (surplus(at(middle)) < 0) low = middle;
        else high = middle;
      }
      return { diet: at(high), solved: true };
    }
    if (left > best.surplus) best = { nem, surplus: left };
    low = nem;
  }
  return { diet: at(best.nem), solved: false };
}

function stageOf(facts: AnimalFacts): MineralStage {
  if (facts.lactating) return 'lactating';
  return facts.cowLike ? 'gestating' : 'growing';
}

function waterClassOf(animal: AnimalDescription, facts: AnimalFacts): WaterClass {
  if (facts.lactating) return 'lactating-cow';
  if (animal.class === 'bull') return 'bull';
  if (animal.class === 'finishing') return 'finishing';
  return facts.cowLike ? 'pregnant-cow' : 'growing';
}

/**
 * What one animal needs in a day: energy (Mcal), protein and minerals (g), dry matter (kg), water (L), with the
 * working.
 *
 * Without a diet the leanest one whose predicted intake covers the energy need is solved for (`diet.origin` is
 * `solved`); with one, intake is predicted on it and limited by fibre (NDF given) and by low protein (CP given).
 * Equations: NRC 2000 update, or NASEM 2016 where it differs (bacterial protein, ionophores, walking); each step names
 * its source. Answers `ok: false` with every problem found when the description cannot be computed.
 */
export function requirementsFor(animal: AnimalDescription, conditions: RequirementConditions): Outcome<RequirementSet> {
  const problems = animalProblems(animal, conditions);
  if (problems.length > 0) return refused(problems);

  const working = new Working();
  const facts = factsOf(animal, working);
  const adjusted = (diet: DietEnergy): DietEnergy => {
    if (facts.cowLike || animal.ionophore !== true) return diet;
    const factor = IONOPHORE_MAINTENANCE_ENERGY_FACTORS[conditions.edition];
    return {
      ...diet,
      netEnergyMaintenanceMcalPerKg: diet.netEnergyMaintenanceMcalPerKg * factor,
      efficiencyOfMaintenance: diet.efficiencyOfMaintenance * factor,
    };
  };
  // Intake is predicted on the energy of the feed itself; the ionophore changes what the animal gets out of it.
  const surplus = (diet: DietEnergy) => {
    const used = adjusted(diet);
    const need = energyNeed(animal, conditions, facts, used);
    const total = need.maintenance + need.pregnancy + need.lactation;
    const left = intakeOf(animal, conditions, facts, diet).kg - total / used.netEnergyMaintenanceMcalPerKg;
    // A diet with no energy for gain cannot carry one, however much is eaten.
    if (facts.retainedEnergy === 0) return left;
    return diet.netEnergyGainMcalPerKg > 0
      ? left - facts.retainedEnergy / diet.netEnergyGainMcalPerKg
      : -1 - facts.retainedEnergy;
  };
  const given = dietEnergy(conditions.diet);
  if (!facts.cowLike && animal.ionophore === true) {
    const factor = IONOPHORE_MAINTENANCE_ENERGY_FACTORS[conditions.edition];
    working.note(
      'ionophore',
      `With the ionophore the NEm of the diet counts ${factor} times; intake is predicted ` +
        `${IONOPHORE_INTAKE_FACTOR} times.`,
      `${conditions.edition === 'NRC2000' ? 'NRC 2000' : 'NASEM 2016'} (from memory)`,
    );
  }
  const { diet, solved } = given === undefined ? solveDiet(surplus) : { diet: given, solved: true };
  const origin = given !== undefined ? 'given' : solved ? 'solved' : 'closest';
  if (!solved) {
    working.note(
      'no-diet-covers-the-need',
      'At the predicted intake no diet covers this need; the nearest diet is used for intake.',
      'net energy system with the intake equation of the edition',
    );
  }

  const usedDiet = adjusted(diet);
  const need = energyNeed(animal, conditions, facts, usedDiet);
  const intake = intakeOf(animal, conditions, facts, diet);

  working.step(
    'diet',
    'NEm of the diet',
    diet.netEnergyMaintenanceMcalPerKg,
    'Mcal/kg of DM',
    given === undefined ? 'solved: intake covers the need' : 'given',
  );
  working.step('diet', 'km (NEm/ME)', usedDiet.efficiencyOfMaintenance, '', NRC);
  working.step('maintenance', 'shrunk weight', facts.shrunkKg, 'kg', `${NRC}: 0.96·full weight`);
  working.step(
    'maintenance',
    'net energy in comfort',
    need.base,
    'Mcal/d',
    `Lofgreen & Garrett 1968; ${NRC} multipliers`,
  );
  if (need.activity > 0) {
    working.step(
      'activity',
      'grazing and walking',
      need.activity,
      'Mcal/d',
      conditions.edition === 'NASEM2016' && conditions.activity?.flatWalkingKmPerDay !== undefined
        ? 'Fox & Tylutki 1998; NASEM 2016'
        : 'CSIRO 1990; NRC 2000',
    );
  }
  if (need.heat > 0) working.step('heat', 'panting', need.heat, 'Mcal/d', NRC);
  if (conditions.weather !== undefined) {
    const thumb = conditions.weather.coldMethod === 'rule-of-thumb';
    const source = thumb
      ? 'South Dakota State University Extension: 1 % per °F; Ames & Insley 1975 wind chill'
      : 'NRC 1981; NRC 2000 heat balance';
    working.step('cold', 'lower critical temperature', need.lowerCriticalTemperatureC ?? 0, '°C', source);
    working.step(
      'cold',
      'temperature as felt',
      need.effectiveTemperatureC ?? 0,
      '°C',
      thumb ? source : 'air temperature; wind enters by the insulation',
    );
    working.step('cold', 'extra net energy', need.cold, 'Mcal/d', source);
    if (need.extraPercent !== null)
      working.step('cold', 'extra share of maintenance, pregnancy and milk', need.extraPercent, '%', source);
    if (conditions.weather.hairDepthCm === undefined) {
      working.note(
        'default-hair-depth',
        `Depth of hair taken as ${DEFAULTS.hairDepthCm} cm.`,
        'common practice, no source',
      );
    }
  }
  if (facts.daysPregnant > 0) {
    working.step('pregnancy', 'net energy for pregnancy', need.pregnancy, 'Mcal/d', `${NRC} eq. 4-4 to 4-7`);
    const conceptus = nrc2000ConceptusWeight({
      calfBirthWeightKg: facts.calfBirthWeightKg,
      daysPregnant: facts.daysPregnant,
    });
    working.step('pregnancy', 'gain of the gravid uterus', conceptus.conceptusGainKgPerDay, 'kg/d', `${NRC} p. 43`);
  }
  if (facts.lactating) {
    working.step(
      'lactation',
      'milk of the day',
      facts.milkKg,
      'kg/d',
      animal.milkKgPerDay === undefined ? `${NRC} p. 45 lactation curve` : 'given',
    );
    working.step('lactation', 'energy of milk', facts.milkEnergy, 'Mcal/kg', `${NRC} p. 45`);
    working.step('lactation', 'net energy for milk', need.lactation, 'Mcal/d', `${NRC}: milk energy counts 1:1 as NEm`);
  }
  working.step(
    'intake',
    'predicted dry matter intake',
    intake.predictedKg,
    'kg/d',
    facts.cowLike ? `${NRC} cows` : `${NRC} ${facts.intakeAge === 'calf' ? 'calves' : 'yearlings'}`,
  );
  working.step('intake', 'adjustment for weather, implant and ionophore', intake.factor, '', NRC);
  working.step(
    'intake',
    'dry matter intake',
    intake.kg,
    'kg/d',
    intake.limitedBy === 'prediction'
      ? 'predicted'
      : intake.limitedBy === 'fibre'
        ? 'Mertens 1987 fibre capacity'
        : 'University of Nebraska, low-protein forage',
  );
  if (intake.limitedBy !== 'prediction') {
    working.note(
      intake.limitedBy === 'fibre' ? 'intake-limited-by-fibre' : 'intake-limited-by-protein',
      intake.limitedBy === 'fibre'
        ? 'The fibre of this diet fills the animal before it has eaten the predicted amount.'
        : 'Crude protein below 7 % of dry matter holds the intake of this forage down.',
      intake.limitedBy === 'fibre' ? 'Mertens 1987' : 'University of Arizona AZ9523; University of Nebraska',
    );
  }
  if (facts.cowLike && intake.limitedBy === 'prediction') {
    working.note(
      'cow-intake-reads-low',
      'The equation for cows reads about 14 % low for dry and 17 % low for lactating cows against pens weighed ' +
        'since 2002; allow for it in a hay budget.',
      'Gross et al. 2024, Transl. Anim. Sci. txae001; Gross, Oklahoma State University thesis',
    );
  }
  if (conditions.edition === 'NASEM2016') {
    working.note(
      'edition-2016',
      'NASEM 2016 differs from NRC 2000 here in bacterial protein, ionophore and walking energy; the other ' +
        'equations are carried over.',
      'NASEM 2016 (from memory)',
    );
  }

  const mpMaintenance = nrc2000MaintenanceProtein({ shrunkBodyWeightKg: facts.shrunkKg }).metabolizableProteinGPerDay;
  const gainProtein = nrc2000GainProtein({
    equivalentShrunkBodyWeightKg: facts.equivalentKg,
    shrunkGainKgPerDay: facts.gainKg,
    retainedEnergyMcalPerDay: facts.retainedEnergy,
  });
  const mpPregnancy =
    facts.daysPregnant > 0
      ? nrc2000PregnancyProtein({ calfBirthWeightKg: facts.calfBirthWeightKg, daysPregnant: facts.daysPregnant })
          .metabolizableProteinGPerDay
      : 0;
  const mpLactation = nrc2000LactationProtein({
    milkKgPerDay: facts.milkKg,
    proteinPercent: facts.milkProteinPercent,
  }).metabolizableProteinGPerDay;
  const metabolizableProteinGPerDay =
    mpMaintenance + gainProtein.metabolizableProteinGPerDay + mpPregnancy + mpLactation;
  working.step('protein', 'MP for maintenance', mpMaintenance, 'g/d', `${NRC}: 3.8·SBW^0.75`);
  working.step('protein', 'net protein in gain', gainProtein.netProteinGPerDay, 'g/d', `${NRC}: 268·SWG − 29.4·RE`);
  working.step('protein', 'efficiency of MP for gain', gainProtein.efficiency, '', NRC);
  working.step('protein', 'MP for gain', gainProtein.metabolizableProteinGPerDay, 'g/d', NRC);
  working.step('protein', 'MP for pregnancy', mpPregnancy, 'g/d', `${NRC} eq. 4-8`);
  working.step('protein', 'MP for milk', mpLactation, 'g/d', `${NRC}: milk protein/0.65`);
  const bacteria = bacterialProtein({
    edition: conditions.edition,
    dryMatterIntakeKgPerDay: intake.kg,
    totalDigestibleNutrientsPercent: diet.totalDigestibleNutrientsPercent,
    ...(conditions.diet?.fatPercent === undefined ? {} : { fatPercent: conditions.diet.fatPercent }),
  });
  working.step(
    'protein',
    'bacterial protein that the energy allows',
    bacteria.energyAllowedGPerDay,
    'g/d',
    bacteria.equation === 'nrc2000' ? `${NRC}: 0.13·TDN` : 'Galyean & Tedeschi 2014; NASEM 2016',
  );

  const factorialInputs = {
    shrunkBodyWeightKg: facts.shrunkKg,
    retainedProteinGPerDay: gainProtein.netProteinGPerDay,
    milkKgPerDay: facts.milkKg,
    calfBirthWeightKg: facts.calfBirthWeightKg,
    daysPregnant: facts.daysPregnant,
  };
  const byUse = mineralsByUse(factorialInputs);
  const byShare = mineralsByShare({ dryMatterIntakeKgPerDay: intake.kg, stage: stageOf(facts) });
  for (const mineral of MINERALS_BY_USE) {
    const name = NUTRIENTS[mineral].name.toLowerCase();
    const answer = byUse[mineral];
    working.step('minerals', `${name} for maintenance`, answer.maintenanceGPerDay, 'g/d', `${NRC} chapter 5`);
    working.step('minerals', `${name} for gain`, answer.gainGPerDay, 'g/d', `${NRC} chapter 5`);
    working.step('minerals', `${name} for milk`, answer.lactationGPerDay, 'g/d', `${NRC} chapter 5`);
    working.step('minerals', `${name} for the calf`, answer.pregnancyGPerDay, 'g/d', `${NRC} chapter 5`);
  }
  working.step(
    'minerals',
    `${namesInWords(MINERALS_BY_SHARE)} by share of intake`,
    intake.kg,
    'kg DM/d',
    'University of Arkansas MP391, Table 1, after NRC 1996',
  );

  const temperatureC = conditions.weather?.temperatureC ?? DEFAULTS.waterTemperatureC;
  if (conditions.weather === undefined)
    working.note(
      'default-water-temperature',
      `Water is given for ${DEFAULTS.waterTemperatureC} °C.`,
      'no temperature was told',
    );
  const water = waterNeeded({
    waterClass: waterClassOf(animal, facts),
    weightKg: animal.fullBodyWeightKg,
    temperatureC,
    dryMatterIntakeKgPerDay: intake.kg,
    milkKgPerDay: facts.milkKg,
  });
  working.step(
    'water',
    'by class, weight and temperature',
    water.tabulatedLPerDay,
    'L/d',
    'Winchester & Morris 1956; NRC 2000',
  );
  working.step('water', 'by dry matter and milk', water.fromDryMatterLPerDay, 'L/d', 'Winchester & Morris 1956');
  if (water.beyondTable.length > 0)
    working.note(
      'water-beyond-table',
      `The water table does not reach this ${water.beyondTable.join(' and ')}; its last value and the figure ` +
        'per kg of dry matter are compared, the larger rules.',
      'NRC 2000, water table',
    );

  return succeeded({
    edition: conditions.edition,
    animalClass: animal.class,
    shrunkBodyWeightKg: facts.shrunkKg,
    dryMatterIntakeKgPerDay: intake.kg,
    netEnergyMaintenanceMcalPerDay: need.maintenance,
    netEnergyGainMcalPerDay: facts.retainedEnergy,
    netEnergyPregnancyMcalPerDay: need.pregnancy,
    netEnergyLactationMcalPerDay: need.lactation,
    netEnergyMaintenanceTotalMcalPerDay: need.maintenance + need.pregnancy + need.lactation,
    milkKgPerDay: facts.milkKg,
    shrunkGainKgPerDay: facts.gainKg,
    metabolizableProteinGPerDay,
    metabolizableProteinParts: {
      maintenanceGPerDay: mpMaintenance,
      gainGPerDay: gainProtein.metabolizableProteinGPerDay,
      pregnancyGPerDay: mpPregnancy,
      lactationGPerDay: mpLactation,
    },
    crudeProteinGPerDay: crudeProteinFromMetabolizable({ metabolizableProtein: metabolizableProteinGPerDay })
      .crudeProtein,
    rumenDegradableProteinGPerDay: bacteria.degradableProteinNeededGPerDay,
    equivalentShrunkBodyWeightKg: facts.equivalentKg,
    bacterialProteinGPerDay: bacteria.bacterialProteinGPerDay,
    minerals: { ...byCode(MINERALS_BY_USE, (mineral) => byUse[mineral].dietaryGPerDay), ...byShare },
    waterLPerDay: water.waterLPerDay,
    efficiencyOfMaintenance: usedDiet.efficiencyOfMaintenance,
    diet: {
      netEnergyMaintenanceMcalPerKg: diet.netEnergyMaintenanceMcalPerKg,
      netEnergyGainMcalPerKg: diet.netEnergyGainMcalPerKg,
      totalDigestibleNutrientsPercent: diet.totalDigestibleNutrientsPercent,
      origin,
    },
    coldMethod: conditions.weather === undefined ? 'none' : (conditions.weather.coldMethod ?? 'heat-balance'),
    lowerCriticalTemperatureC: need.lowerCriticalTemperatureC,
    parts: working.parts,
    notes: working.notes,
  });
}
