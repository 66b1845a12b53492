import type { PlannedSpread, TrialPlanRequest } from './plan-trial.js';
import { caution, designCautions, type TrialCaution } from './trial-cautions.js';
import { DEFAULT_DAILY_GAIN_SPREAD, UNIT_SOURCES } from './trial.data.js';
import { shown } from './words.js';

/** What may keep a trial from seeing what its plan says it will. */
export function planCautions(request: TrialPlanRequest, spread: PlannedSpread): TrialCaution[] {
  const { lengthDays, unit, unitsPerArm, meanStartWeightKg, wordsIn: wordsIn } = request;
  return [
    ...designCautions({ lengthDays, unit, unitsPerArm, meanWeightKg: meanStartWeightKg, wordsIn: wordsIn }),
    ...ofDefaultSpread(request, spread),
    ...ofShorterTrial(request, spread),
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

function ofShorterTrial({ lengthDays, weighingSdKg }: TrialPlanRequest, { isDefault }: PlannedSpread): TrialCaution[] {
  if (!isDefault || lengthDays >= DEFAULT_DAILY_GAIN_SPREAD.days || weighingSdKg !== null) return [];
  return [
    caution(
      'trial.spread-from-longer-trial',
      `Gains over ${lengthDays} days spread more than over ${DEFAULT_DAILY_GAIN_SPREAD.days} days, ` +
        'because the same difference in gut fill is divided by fewer days. Without a figure for the ' +
        'weighing this plan is a best case.',
      { value: lengthDays, unit: 'days' },
      DEFAULT_DAILY_GAIN_SPREAD.source,
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
