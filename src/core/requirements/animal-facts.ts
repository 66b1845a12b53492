import { quantity, sentence } from '../units/wording.js';
import { equivalentShrunkBodyWeight, nrc2000RetainedEnergy, standardReferenceWeight } from './gain.js';
import { tellHeiferGrowth } from './heifer-growth-working.js';
import { givesMilk, heiferGrowth, isHeifer } from './heifer-growth.js';
import { FIRST_MONTH_OF_PREGNANCY_DAYS } from './intake-factors.data.js';
import { MILK_SHARE_BY_AGE, nrc2000MilkEnergy, nrc2000MilkYield, TYPICAL_MILK } from './lactation.js';
import { shrunkBodyWeight } from './maintenance.js';
import { nrc2000ConceptusWeight } from './pregnancy.js';
import { DEFAULTS } from './requirement-defaults.data.js';
import { type AnimalClass, type AnimalDescription, MATURE_COWS } from './requirement-set.js';
import { NRC, type Working } from './working.js';

/** Everything about the animal that does not depend on its diet. Weights in kg, energy in Mcal/d. */
export interface AnimalFacts {
  readonly shrunkKg: number;
  readonly score: number;
  /** 0 when not pregnant. */
  readonly daysPregnant: number;
  /** 0 when not pregnant. */
  readonly calfBirthWeightKg: number;
  readonly milkKg: number;
  readonly lactating: boolean;
  /** Mcal/kg of milk. */
  readonly milkEnergy: number;
  readonly milkProteinPercent: number;
  readonly gainKg: number;
  readonly equivalentKg: number;
  readonly retainedEnergy: number;
  readonly ageMonths: number;
  /** Mature, or on the way to becoming a cow. */
  readonly cowLike: boolean;
  /** How far intake follows the equation for cows and no longer the one for growing cattle, 0 to 1. */
  readonly cowIntakeShare: number;
  /** How far intake follows the equation of pregnant cows and no longer that of open ones, 0 to 1. */
  readonly pregnantIntakeShare: number;
  readonly intakeAge: 'calf' | 'yearling';
}

const MAY_BE_PREGNANT: readonly AnimalClass[] = [
  'dry-pregnant-cow',
  'lactating-cow',
  'first-calf-heifer',
  'replacement-heifer',
];

export function animalFacts(animal: AnimalDescription, working: Working): AnimalFacts {
  const shrunkKg = shrunkBodyWeight(animal).shrunkBodyWeightKg;
  const pregnancy = pregnancyOf(animal, working);
  const milk = milkOf(animal, working);
  const finalKg = finalShrunkWeight(animal, shrunkKg, working);
  const growth = growthOf(animal, ownWeight(animal, shrunkKg, pregnancy), finalKg, working);
  const cowLike =
    MATURE_COWS.includes(animal.class) ||
    animal.class === 'first-calf-heifer' ||
    pregnancy.daysPregnant > 0 ||
    (animal.class === 'bull' && shrunkKg >= 0.9 * finalKg);
  return {
    shrunkKg,
    score: animal.bodyConditionScore ?? 5,
    ...pregnancy,
    ...milk,
    ...growth,
    ...ageOf(animal, cowLike),
    cowLike,
    ...intakeShares(animal, cowLike, pregnancy.daysPregnant, milk.lactating),
  };
}

function intakeShares(
  animal: AnimalDescription,
  cowLike: boolean,
  daysPregnant: number,
  lactating: boolean,
): Pick<AnimalFacts, 'cowIntakeShare' | 'pregnantIntakeShare'> {
  const pregnantIntakeShare = Math.min(1, daysPregnant / FIRST_MONTH_OF_PREGNANCY_DAYS);
  if (!cowLike) return { cowIntakeShare: 0, pregnantIntakeShare };
  return { cowIntakeShare: isHeifer(animal) && !lactating ? pregnantIntakeShare : 1, pregnantIntakeShare };
}

function pregnancyOf(
  animal: AnimalDescription,
  working: Working,
): Pick<AnimalFacts, 'daysPregnant' | 'calfBirthWeightKg'> {
  const daysPregnant = MAY_BE_PREGNANT.includes(animal.class) ? (animal.daysPregnant ?? 0) : 0;
  if (daysPregnant === 0) return { daysPregnant, calfBirthWeightKg: 0 };
  if (animal.calfBirthWeightKg === undefined) {
    working.note(
      'default-calf-birth-weight',
      sentence`Calf birth weight taken as ${quantity(DEFAULTS.calfBirthWeightKg, 'kg', 1)}.`,
      'NRC 2000, Table 4-2',
    );
  }
  return { daysPregnant, calfBirthWeightKg: animal.calfBirthWeightKg ?? DEFAULTS.calfBirthWeightKg };
}

function milkOf(
  animal: AnimalDescription,
  working: Working,
): Pick<AnimalFacts, 'lactating' | 'milkKg' | 'milkEnergy' | 'milkProteinPercent'> {
  const lactating = givesMilk(animal);
  return {
    lactating,
    milkKg: lactating ? (animal.milkKgPerDay ?? milkByTheCurve(animal, working)) : 0,
    milkEnergy: nrc2000MilkEnergy({
      fatPercent: animal.milkFatPercent ?? TYPICAL_MILK.fatPercent,
      solidsNotFatPercent: animal.milkSolidsNotFatPercent ?? TYPICAL_MILK.solidsNotFatPercent,
    }).milkEnergyMcalPerKg,
    milkProteinPercent: animal.milkProteinPercent ?? TYPICAL_MILK.proteinPercent,
  };
}

function milkByTheCurve(animal: AnimalDescription, working: Working): number {
  const share = animal.class === 'first-calf-heifer' ? MILK_SHARE_BY_AGE.two : MILK_SHARE_BY_AGE.mature;
  const peakMilkKgPerDay = animal.peakMilkKgPerDay ?? DEFAULTS.peakMilkKgPerDay * share;
  if (animal.peakMilkKgPerDay === undefined) {
    working.note(
      'default-peak-milk',
      sentence`Milk at the peak taken as ${quantity(peakMilkKgPerDay, 'kg', 1)} a day.`,
      'NRC 2000 tables of beef cows (from memory); first calvers give 0.74 of mature cows',
    );
  }
  const week = (animal.daysInMilk ?? 0) / 7;
  if (week < DEFAULTS.milkCurveFromWeek) {
    working.note(
      'milk-of-the-first-week',
      'In the first week after calving the milk of week 1 is taken; the published curve starts at zero.',
      'common practice, no source',
    );
  }
  const weekOfLactation = Math.max(week, DEFAULTS.milkCurveFromWeek);
  return nrc2000MilkYield({ peakMilkKgPerDay, weekOfLactation }).milkKgPerDay;
}

/** Shrunk weight at which the animal is grown, or finished. */
function finalShrunkWeight(animal: AnimalDescription, shrunkKg: number, working: Working): number {
  if (animal.finalShrunkBodyWeightKg !== undefined) return animal.finalShrunkBodyWeightKg;
  if (animal.matureFullBodyWeightKg !== undefined)
    return shrunkBodyWeight({ fullBodyWeightKg: animal.matureFullBodyWeightKg }).shrunkBodyWeightKg;
  if (MATURE_COWS.includes(animal.class) || animal.class === 'bull')
    return Math.max(shrunkKg, DEFAULTS.finalShrunkBodyWeightKg);
  working.note(
    'default-final-weight',
    sentence`No grown or mature weight is entered; ${quantity(DEFAULTS.finalShrunkBodyWeightKg, 'kg', 0)} is used.`,
    'NRC 2000, table of growing cattle',
  );
  return DEFAULTS.finalShrunkBodyWeightKg;
}

/** Calf and fluids of an absurdly light heifer take no more than this of her weight. */
const OWN_SHARE_AT_LEAST = 0.5;

/** Of a heifer that was weighed with her calf, NRC 2000 takes calf and fluids off before it looks at her growth. */
function ownWeight(
  animal: AnimalDescription,
  shrunkKg: number,
  { calfBirthWeightKg, daysPregnant }: Pick<AnimalFacts, 'daysPregnant' | 'calfBirthWeightKg'>,
): number {
  if (!isHeifer(animal) || animal.weighedWithCalf !== true || daysPregnant === 0) return shrunkKg;
  const { conceptusWeightKg } = nrc2000ConceptusWeight({ calfBirthWeightKg, daysPregnant });
  return Math.max(OWN_SHARE_AT_LEAST * shrunkKg, shrunkKg - conceptusWeightKg);
}

function growthOf(
  animal: AnimalDescription,
  shrunkBodyWeightKg: number,
  finalShrunkBodyWeightKg: number,
  working: Working,
): Pick<AnimalFacts, 'gainKg' | 'equivalentKg' | 'retainedEnergy'> {
  const { standardReferenceWeightKg } = standardReferenceWeight({
    finishEndPoint: animal.finishEndPoint ?? 'small-28',
  });
  const { equivalentShrunkBodyWeightKg } = equivalentShrunkBodyWeight({
    shrunkBodyWeightKg,
    finalShrunkBodyWeightKg,
    standardReferenceWeightKg,
  });
  const gainKg = animal.targetShrunkGainKgPerDay ?? unstatedGain(animal, shrunkBodyWeightKg, working);
  const { retainedEnergyMcalPerDay } = nrc2000RetainedEnergy({
    equivalentShrunkBodyWeightKg,
    shrunkGainKgPerDay: gainKg,
  });
  working.step('gain', 'equivalent shrunk weight', equivalentShrunkBodyWeightKg, 'kg', `${NRC}: SBW·SRW/final weight`);
  working.step('gain', 'retained energy', retainedEnergyMcalPerDay, 'Mcal/d', `${NRC}: 0.0635·EQEBW^0.75·EBG^1.097`);
  return { gainKg, equivalentKg: equivalentShrunkBodyWeightKg, retainedEnergy: retainedEnergyMcalPerDay };
}

/** Without a stated gain heifers are given their own growth; other cattle are held at their weight. */
function unstatedGain(animal: AnimalDescription, ownShrunkKg: number, working: Working): number {
  if (MATURE_COWS.includes(animal.class) || animal.class === 'bull') return 0;
  const growth = isHeifer(animal) ? heiferGrowth(animal, ownShrunkKg) : null;
  if (growth !== null) tellHeiferGrowth(growth, working);
  if (growth === null || growth.notCountedBecause !== null)
    working.note(
      'no-wanted-gain',
      'No target gain is entered, so the need stands at maintenance: fed to it, these cattle do not grow. Enter the ' +
        'target gain.',
      'NRC 2000: the need for gain follows from the gain',
    );
  return growth?.gainKgPerDay ?? 0;
}

/** Common practice where no age is given: a mature animal 3 years, a calf 9 months, the rest 15. */
function ageOf(animal: AnimalDescription, cowLike: boolean): Pick<AnimalFacts, 'ageMonths' | 'intakeAge'> {
  const defaultAge = cowLike || animal.class === 'bull' ? 36 : animal.class === 'growing-calf' ? 9 : 15;
  const ageMonths = animal.ageMonths ?? defaultAge;
  const young = animal.class === 'growing-calf' || (animal.class === 'replacement-heifer' && ageMonths < 12);
  return { ageMonths, intakeAge: young ? 'calf' : 'yearling' };
}
