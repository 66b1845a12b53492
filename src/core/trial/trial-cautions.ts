import { noun } from '../units/counted.js';
import { GUT_FILL, TRIAL_CHOICES, TRIAL_LENGTH, UNIT_SOURCES } from './trial.data.js';
import { percent, shown, type WordUnit } from './words.js';

/** A caution with the number that raised it. */
export interface TrialCaution {
  readonly code: string;
  readonly words: string;
  readonly number: { readonly value: number; readonly unit: string } | null;
  readonly source: string;
}

export function caution(
  code: string,
  words: string,
  number: { value: number; unit: string } | null,
  source: string,
): TrialCaution {
  return { code, words, number, source };
}

interface TrialDesign {
  readonly lengthDays: number;
  readonly unit: 'animal' | 'pen';
  /** Of the arm with the fewest. */
  readonly unitsPerArm: number;
  readonly meanWeightKg: number | null;
  readonly wordsIn: WordUnit;
}

/** Cautions that follow from how long, how many and what was fed, before as well as after a trial. */
export function designCautions(design: TrialDesign): TrialCaution[] {
  return [...ofLength(design), ofGutFill(design), ...ofHead(design), ...ofPens(design)];
}

function ofLength({ lengthDays }: TrialDesign): TrialCaution[] {
  const days = { value: lengthDays, unit: 'days' };
  if (lengthDays <= TRIAL_LENGTH.monthDays.value)
    return [
      caution(
        'trial.short',
        `${lengthDays} days is short: only large differences in gain show. Daily gains by full and shrunk ` +
          `weights still disagreed at ${TRIAL_LENGTH.shortDays.value} days and agreed at 67.`,
        days,
        TRIAL_LENGTH.shortDays.source,
      ),
    ];
  if (lengthDays < TRIAL_LENGTH.enoughDays.value)
    return [
      caution(
        'trial.shorter-than-shown',
        `${lengthDays} days is shorter than the ${TRIAL_LENGTH.enoughDays.value} days at which growth is ` +
          'measured without loss of accuracy.',
        days,
        TRIAL_LENGTH.enoughDays.source,
      ),
    ];
  return [];
}

function ofGutFill({ lengthDays, meanWeightKg, wordsIn: toldIn }: TrialDesign): TrialCaution {
  const onePercent = meanWeightKg === null ? null : (0.01 * meanWeightKg) / Math.max(1, lengthDays);
  const looksLike =
    onePercent === null
      ? ''
      : ' If the end weights of one arm held 1 % more fill, that alone would look like ' +
        `${shown(onePercent, toldIn).toFixed(2)} ${toldIn} a day over ${lengthDays} days.`;
  return caution(
    'trial.gut-fill',
    `Gut fill is ${percent(GUT_FILL.smallestShareOfLiveWeight.value)} to ` +
      `${percent(GUT_FILL.largestShareOfLiveWeight.value)} of live weight.${looksLike} Weigh all arms alike.`,
    onePercent === null ? null : { value: onePercent, unit: 'kg a day for 1 % of live weight' },
    GUT_FILL.smallestShareOfLiveWeight.source,
  );
}

function ofHead({ unit, unitsPerArm }: TrialDesign): TrialCaution[] {
  if (unit !== 'animal' || unitsPerArm > TRIAL_CHOICES.fewHead.value) return [];
  return [
    caution(
      'trial.few-head',
      `With ${unitsPerArm} head per arm only large differences show.`,
      { value: unitsPerArm, unit: 'head per arm' },
      TRIAL_CHOICES.fewHead.source,
    ),
  ];
}

function ofPens({ unit, unitsPerArm }: TrialDesign): TrialCaution[] {
  if (unit !== 'pen') return [];
  const pens = { value: unitsPerArm, unit: `${noun(unitsPerArm, 'pen')} per arm` };
  if (unitsPerArm < 2)
    return [
      caution(
        'trial.one-pen',
        'With one pen per arm the pen is the unit: whatever sets that pen apart (shelter, water, neighbors, ' +
          'illness) cannot be told from the feeding, and no test on the animals proves the feeding.',
        pens,
        UNIT_SOURCES.twoPensAtLeast,
      ),
    ];
  if (unitsPerArm < TRIAL_CHOICES.fewPens.value)
    return [
      caution(
        'trial.few-pens',
        `With ${unitsPerArm} pens per arm the interval is very wide.`,
        pens,
        TRIAL_CHOICES.fewPens.source,
      ),
    ];
  return [];
}
