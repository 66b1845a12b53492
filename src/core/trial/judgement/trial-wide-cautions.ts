import { counted, noun } from '../../units/counted.js';
import { type AnimalResult, unitsOfArm } from '../analysis-sets.js';
import { describe } from '../descriptive.js';
import { caution, designCautions, type TrialCaution } from '../trial-cautions.js';
import { UNIT_SOURCES } from '../trial.data.js';
import { confidenceText, percent } from '../words.js';
import type { TrialToJudge } from './judgement.js';
import type { SharedError } from './shared-error.js';

/** Cautions of the trial as a whole: its design, its pens, how often it was looked at, deaths. */
export function trialWideCautions(
  trial: TrialToJudge,
  results: readonly AnimalResult[],
  error: SharedError,
): TrialCaution[] {
  return [
    ...ofDesign(trial, results),
    ...ofAnimalsFedAlone(trial),
    ...ofPensWithOneArm(trial),
    ...ofPeeking(trial, error),
    ...ofDeaths(results),
  ];
}

function ofDesign(
  { arms, unit, protocol, wordsIn: toldIn }: TrialToJudge,
  results: readonly AnimalResult[],
): TrialCaution[] {
  const startWeights = results.flatMap((result) => (result.startWeightKg === null ? [] : [result.startWeightKg]));
  return designCautions({
    lengthDays: protocol.lengthDays,
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

function ofPensWithOneArm({ animals, unit }: TrialToJudge): TrialCaution[] {
  if (unit !== 'animal') return [];
  const armsOfPen = new Map<string, string[]>();
  for (const { penId, armId } of animals)
    if (penId !== null) armsOfPen.set(penId, [...(armsOfPen.get(penId) ?? []), armId]);
  const shared = [...armsOfPen.values()].filter((arms) => arms.length > 1);
  if (shared.length === 0 || shared.some((arms) => new Set(arms).size !== 1)) return [];
  return [
    caution(
      'trial.pens-hold-one-arm',
      `Animals are taken as the unit, but ${counted(shared.length, 'pen holds', 'pens hold')} animals of one ` +
        'arm only. If feed was given by the pen, the pen is the unit and this interval is too narrow: ' +
        'judge the trial by pens.',
      { value: shared.length, unit: noun(shared.length, 'pen') },
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
