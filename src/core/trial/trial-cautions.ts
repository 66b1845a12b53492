import { GUT_FILL, TRIAL_CHOICES, TRIAL_LENGTH, UNIT_SOURCES } from './trial.data.js';
import { percent, told, type ToldIn } from './words.js';

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

/** Cautions that follow from how long, how many and what was fed, before as well as after a trial. */
export function designCautions({
  lengthDays,
  unit,
  unitsPerArm,
  meanWeightKg,
  toldIn,
}: {
  lengthDays: number;
  unit: 'animal' | 'pen';
  /** Of the arm with the fewest. */
  unitsPerArm: number;
  meanWeightKg: number | null;
  toldIn: ToldIn;
}): TrialCaution[] {
  const cautions: TrialCaution[] = [];
  const days = { value: lengthDays, unit: 'days' };
  if (lengthDays <= TRIAL_LENGTH.monthDays.value) {
    cautions.push(
      caution(
        'trial.short',
        `${lengthDays} days is short: only large differences in gain show. Daily gains by full and shrunk ` +
          `weights still disagreed at ${TRIAL_LENGTH.shortDays.value} days and agreed at 67.`,
        days,
        TRIAL_LENGTH.shortDays.source,
      ),
    );
  } else if (lengthDays < TRIAL_LENGTH.enoughDays.value) {
    cautions.push(
      caution(
        'trial.shorter-than-shown',
        `${lengthDays} days is shorter than the ${TRIAL_LENGTH.enoughDays.value} days at which growth is ` +
          'measured without loss of accuracy.',
        days,
        TRIAL_LENGTH.enoughDays.source,
      ),
    );
  }
  const onePercent = meanWeightKg === null ? null : (0.01 * meanWeightKg) / Math.max(1, lengthDays);
  cautions.push(
    caution(
      'trial.gut-fill',
      `Gut fill is ${percent(GUT_FILL.smallestShareOfLiveWeight.value)} to ` +
        `${percent(GUT_FILL.largestShareOfLiveWeight.value)} of live ` +
        `weight.${onePercent === null ? '' : ' If the end weights of one arm held 1 % more fill, that alone would look like ' + `${told(onePercent, toldIn).toFixed(2)} ${toldIn} a day over ${lengthDays} days.`} ` +
        'Weigh all arms alike.',
      onePercent === null ? null : { value: onePercent, unit: 'kg a day for 1 % of live weight' },
      GUT_FILL.smallestShareOfLiveWeight.source,
    ),
  );
  const units = { value: unitsPerArm, unit: unit === 'pen' ? 'pens an arm' : 'head an arm' };
  if (unit === 'animal' && unitsPerArm <= TRIAL_CHOICES.fewHead.value)
    cautions.push(
      caution(
        'trial.few-head',
        `With ${unitsPerArm} head an arm only large differences show.`,
        units,
        TRIAL_CHOICES.fewHead.source,
      ),
    );
  if (unit === 'pen' && unitsPerArm < 2) {
    cautions.push(
      caution(
        'trial.one-pen',
        'With one pen an arm the pen is the unit: whatever sets that pen apart (shelter, water, neighbours, ' +
          'illness) cannot be told from the feeding, and no test on the animals proves the feeding.',
        units,
        UNIT_SOURCES.twoPensAtLeast,
      ),
    );
  } else if (unit === 'pen' && unitsPerArm < TRIAL_CHOICES.fewPens.value) {
    cautions.push(
      caution(
        'trial.few-pens',
        `With ${unitsPerArm} pens an arm the interval is very wide.`,
        units,
        TRIAL_CHOICES.fewPens.source,
      ),
    );
  }
  return cautions;
}
