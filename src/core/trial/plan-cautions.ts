import type { PlannedLosses, PlannedSpread, TrialPlanRequest } from './plan-trial.js';
import { daysOfGain, hasPeriods } from './trial-design.js';
import { caution, designCautions, type TrialCaution } from './trial-cautions.js';
import { DEFAULT_DAILY_GAIN_SPREAD, UNIT_SOURCES } from './trial.data.js';
import { percent, shown } from './words.js';

/** What may keep a trial from seeing what its plan says it will. */
export function planCautions(request: TrialPlanRequest, spread: PlannedSpread, losses: PlannedLosses): TrialCaution[] {
  const { lengthDays, unit, unitsPerArm, meanStartWeightKg, wordsIn: wordsIn, design, arms } = request;
  return [
    ...designCautions({
      lengthDays: daysOfGain(design, lengthDays),
      unit,
      // In a switchback every pen is fed both ways, as it is at some time in a stepped start.
      unitsPerArm: hasPeriods(design) ? unitsPerArm * arms.length : unitsPerArm,
      meanWeightKg: meanStartWeightKg,
      wordsIn: wordsIn,
    }),
    ...ofDefaultSpread(request, spread),
    ...ofDefaultWeighing(request, spread),
    ...ofDefaultLosses(losses),
    ...ofUnknownPenSpread(request),
    ...ofAnimalsFedTogether(request),
  ];
}

function ofDefaultSpread(
  { wordsIn: wordsIn }: TrialPlanRequest,
  { isDefault, animalKgPerDay }: PlannedSpread,
): TrialCaution[] {
  if (!isDefault) return [];
  return [
    caution(
      'trial.default-spread',
      `The spread of daily gain (${shown(animalKgPerDay, wordsIn).toFixed(2)} ${wordsIn} a day) is a default from ` +
        `${DEFAULT_DAILY_GAIN_SPREAD.animals} over ${DEFAULT_DAILY_GAIN_SPREAD.days} days, not your own.`,
      { value: animalKgPerDay, unit: 'kg a day' },
      DEFAULT_DAILY_GAIN_SPREAD.source,
    ),
  ];
}

function ofDefaultWeighing({ wordsIn: toldIn }: TrialPlanRequest, spread: PlannedSpread): TrialCaution[] {
  if (!spread.weighingIsDefault) return [];
  return [
    caution(
      'trial.default-weighing-spread',
      `How much a weight differs from day to day (${shown(spread.weighingKg, toldIn).toFixed(1)} ${toldIn}) is a ` +
        'default from published extremes, not your own: weigh the same cattle on two days in a row, or state it.',
      { value: spread.weighingKg, unit: 'kg' },
      spread.weighingSource,
    ),
  ];
}

function ofDefaultLosses({ isDefault, cattle, source }: PlannedLosses): TrialCaution[] {
  if (!isDefault) return [];
  return [
    caution(
      'trial.default-losses',
      `${percent(cattle, 1)} of cattle are taken to be lost before their end weight, from published death losses; ` +
        'name your own where tags are lost, cattle are sold or more fall sick.',
      { value: cattle, unit: 'share' },
      source,
    ),
  ];
}

function ofAnimalsFedTogether({ unit }: TrialPlanRequest): TrialCaution[] {
  if (unit === 'pen') return [];
  return [
    caution(
      'trial.animals-fed-together',
      'Animals are the unit only where each is fed by itself. Arms that are fed as one herd each are judged as one ' +
        'unit each, which no number of head makes up for.',
      null,
      UNIT_SOURCES.penIsTheUnit,
    ),
  ];
}

function ofUnknownPenSpread({ unit, penToPenSdKgPerDay }: TrialPlanRequest): TrialCaution[] {
  if (unit !== 'pen' || penToPenSdKgPerDay !== null) return [];
  return [
    caution(
      'trial.pen-spread-unknown',
      'How much pens fed alike differ is not known and was taken as zero: this plan is a best case.',
      null,
      UNIT_SOURCES.penIsTheUnit,
    ),
  ];
}
