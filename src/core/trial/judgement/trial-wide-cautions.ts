import { counted, noun } from '../../units/counted.js';
import { type AnimalResult, unitsOfArm } from '../analysis-sets.js';
import { describe } from '../descriptive.js';
import { caution, designCautions, type TrialCaution } from '../trial-cautions.js';
import { daysOfGain } from '../trial-design.js';
import { UNIT_SOURCES } from '../trial.data.js';
import { confidenceText, percent } from '../words.js';
import type { TrialToJudge } from './judgement.js';
import type { SharedError } from './shared-error.js';
import { pensOfOneArm } from './unit-fed.js';

/** Cautions of the trial as a whole: its design, its pens, how often it was looked at, deaths. */
export function trialWideCautions({
  trial,
  asPlanned,
  results,
  error,
}: {
  readonly trial: TrialToJudge;
  /** The trial with the unit of its plan. */
  readonly asPlanned: Pick<TrialToJudge, 'unit' | 'animals'>;
  readonly results: readonly AnimalResult[];
  readonly error: SharedError;
}): TrialCaution[] {
  return [
    ...ofDesign(trial, results),
    ...ofAnimalsFedAlone(trial),
    ...ofPensWithOneArm(asPlanned),
    ...ofPeeking(trial, error),
    ...ofDeaths(results),
  ];
}

function ofDesign(
  { arms, unit, protocol, designed, wordsIn: toldIn }: TrialToJudge,
  results: readonly AnimalResult[],
): TrialCaution[] {
  const startWeights = results.flatMap((result) => (result.startWeightKg === null ? [] : [result.startWeightKg]));
  return designCautions({
    lengthDays: daysOfGain(designed?.design, protocol.lengthDays),
    unit,
    unitsPerArm: Math.min(...arms.map((arm) => unitsOfArm({ results, armId: arm.id, unit, set: 'as-drawn' }).length)),
    meanWeightKg: startWeights.length > 0 ? describe(startWeights).mean : null,
    wordsIn: toldIn,
  });
}

function ofAnimalsFedAlone({ animals, unit }: TrialToJudge): TrialCaution[] {
  const alone = animals.filter((animal) => animal.penId === null).length;
  if (unit !== 'pen' || alone === 0) return [];
  return [
    caution(
      'trial.mixed-units',
      `${counted(alone, 'animal was', 'animals were')} fed alone while others were fed by pen. Each counts as ` +
        'a pen of one, though it is measured less precisely than a pen; read the interval with care.',
      { value: alone, unit: 'head' },
      UNIT_SOURCES.penIsTheUnit,
    ),
  ];
}

function ofPensWithOneArm({ unit, animals }: Pick<TrialToJudge, 'unit' | 'animals'>): TrialCaution[] {
  const pens = pensOfOneArm(animals);
  if (unit === 'pen' || pens === 0) return [];
  return [
    caution(
      'trial.pens-hold-one-arm',
      `The plan takes animals as the unit, but ${counted(pens, 'pen or herd', 'pens or herds')} held animals of one ` +
        'arm only. Cattle fed together share whatever befalls their pen, so the trial is judged by pens.',
      { value: pens, unit: noun(pens, 'pen') },
      UNIT_SOURCES.penIsTheUnit,
    ),
  ];
}

function ofPeeking({ look, confidence }: TrialToJudge, error: SharedError): TrialCaution[] {
  if (!error.peeking) return [];
  const { looks, falseAlarmChanceUncorrected } = error;
  const which = look.final
    ? 'The trial was looked at before its end without a plan for it.'
    : 'This look was not planned.';
  return [
    caution(
      'trial.peeking',
      `${which} Looking ${looks} times at the usual ${confidenceText(confidence)} would raise a false alarm in ` +
        `${percent(falseAlarmChanceUncorrected, 1)} of trials where nothing differs; the intervals are widened ` +
        `to ${confidenceText(error.confidence)} for it.`,
      { value: falseAlarmChanceUncorrected, unit: 'chance of a false alarm' },
      'Armitage, McPherson and Rowe 1969, Journal of the Royal Statistical Society A 132:235-244',
    ),
  ];
}

function ofDeaths(results: readonly AnimalResult[]): TrialCaution[] {
  const deaths = results.filter((result) => result.died).length;
  if (deaths === 0) return [];
  return [
    caution(
      'trial.deaths',
      `${counted(deaths, 'animal')} died. A veterinarian should say why before the ` + 'feeding is used again.',
      { value: deaths, unit: 'head' },
      'rule of this program',
    ),
  ];
}
