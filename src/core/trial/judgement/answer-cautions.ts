import { counted } from '../../units/counted.js';
import { describe } from '../descriptive.js';
import { caution, type TrialCaution } from '../trial-cautions.js';
import { TRIAL_CHOICES } from '../trial.data.js';
import { type Verdict, type VerdictInWords, verdictOf } from '../verdict.js';
import { shown } from '../words.js';
import type { Answered } from './answered-comparison.js';
import type { Comparison } from './comparison.js';

/** A caution of one comparison; its words begin with the names of the arms. */
export function cautionAbout(
  { change, usual }: Comparison,
  code: string,
  words: string,
  number: TrialCaution['number'],
  source: string,
): TrialCaution {
  return caution(code, `${change.name} against ${usual.name}: ${words}`, number, source);
}

/** Everything that makes the answer of a comparison less sure than its interval says. */
export function answerCautions(answered: Answered): TrialCaution[] {
  return [
    ...ofMethod(answered),
    ...ofResiduals(answered),
    ...ofSingleUnits(answered),
    ...ofOtherMethod(answered),
    ...ofProtocol(answered),
    ...ofMissing(answered),
    ...ofStartWeights(answered),
    ...ofCarryOver(answered),
  ];
}

/** The verdict of another interval of this comparison, and whether it is the verdict of the answer. */
function verdictBy(
  { comparison, verdict }: Answered,
  { low, high }: { readonly low: number; readonly high: number },
): { readonly verdict: Verdict; readonly same: boolean } {
  const other = verdictOf({
    lowKgPerDay: low,
    highKgPerDay: high,
    worthwhileKgPerDay: comparison.trial.worthwhileDifferenceKgPerDay,
  });
  return { verdict: other.verdict, same: isSame(verdict, other) };
}

function isSame(verdict: VerdictInWords, other: Omit<VerdictInWords, 'sentences'> | null): boolean {
  return other !== null && other.verdict === verdict.verdict && other.favours === verdict.favours;
}

function ofMethod({ comparison, compared, answer }: Answered): TrialCaution[] {
  const cautions: TrialCaution[] = [];
  if (compared.fallback !== null)
    cautions.push(cautionAbout(comparison, 'trial.method-fallback', compared.fallback, null, 'rule of this program'));
  const slopes = answer.method === 'analysis-of-covariance' ? compared.covariance?.equalSlopes : null;
  if (slopes && slopes.p < TRIAL_CHOICES.checkP.value)
    cautions.push(
      cautionAbout(
        comparison,
        'trial.unequal-slopes',
        'the effect seems to differ between light and heavy animals, so that one figure for all is a rough average.',
        { value: slopes.p, unit: 'p-value of equal slopes' },
        TRIAL_CHOICES.checkP.source,
      ),
    );
  return cautions;
}

function ofResiduals({ comparison, checks, answer }: Answered): TrialCaution[] {
  const cautions: TrialCaution[] = [];
  const { normality, equalVariance } = checks;
  if (normality && normality.p < TRIAL_CHOICES.checkP.value)
    cautions.push(
      cautionAbout(
        comparison,
        'trial.not-normal',
        'the gains do not scatter as the interval assumes; look at the quantile plot.',
        { value: normality.p, unit: 'p-value' },
        'Royston 1993, Statistics in Medicine 12:181-184',
      ),
    );
  if (equalVariance && equalVariance.p < TRIAL_CHOICES.checkP.value)
    cautions.push(
      cautionAbout(
        comparison,
        'trial.unequal-spread',
        'the arms scatter differently; ' +
          (answer.method === 'welch' ? 'Welch’s interval allows for that.' : 'compare Welch’s interval.'),
        { value: equalVariance.p, unit: 'p-value' },
        'Brown and Forsythe 1974',
      ),
    );
  return cautions;
}

function ofSingleUnits(answered: Answered): TrialCaution[] {
  const { comparison, checks, leftOut } = answered;
  const influential = leftOut.flatMap(({ unitId, shiftInStandardErrors }): TrialCaution[] => {
    const shift = Math.abs(shiftInStandardErrors ?? 0);
    const distance = checks.influence.find((other) => other.unitId === unitId)?.cooksDistance ?? 0;
    const raise = (words: string, number: TrialCaution['number'], source: string) => [
      cautionAbout(comparison, 'trial.influential-unit', `${unitId} ${words}`, number, source),
    ];
    if (shift > TRIAL_CHOICES.influentialShift.value)
      return raise(
        `moves the answer by ${shift.toFixed(1)} standard errors.`,
        { value: shift, unit: 'standard errors' },
        TRIAL_CHOICES.influentialShift.source,
      );
    if (distance > TRIAL_CHOICES.cooksDistance.value)
      return raise(
        'decides much of the answer.',
        { value: distance, unit: 'Cook’s distance' },
        TRIAL_CHOICES.cooksDistance.source,
      );
    return [];
  });
  const turning = leftOut.filter((one) => !verdictBy(answered, { low: one.lowKgPerDay, high: one.highKgPerDay }).same);
  if (turning.length === 0) return influential;
  const named = turning
    .map((one) => one.unitId)
    .slice(0, 5)
    .join(', ');
  return [
    ...influential,
    cautionAbout(
      comparison,
      'trial.one-unit-decides',
      `the verdict would change without ${named}` +
        `${turning.length > 5 ? ` and ${turning.length - 5} more` : ''}, taken one at a time.`,
      { value: turning.length, unit: 'units' },
      'leaving out one unit at a time',
    ),
  ];
}

function ofOtherMethod(answered: Answered): TrialCaution[] {
  const { comparison, compared, answer } = answered;
  const other = answer.method === 'welch' ? compared.covariance?.differences[0] : compared.welch;
  if (!other) return [];
  const { verdict, same } = verdictBy(answered, other);
  if (same) return [];
  return [
    cautionAbout(
      comparison,
      'trial.methods-disagree',
      `${answer.method === 'welch' ? 'the analysis of covariance' : 'Welch’s interval'} leads to another ` +
        `verdict (${verdict}). The method of the plan stands.`,
      null,
      'rule of this program',
    ),
  ];
}

function ofProtocol({ comparison, perProtocol, verdict }: Answered): TrialCaution[] {
  const other = perProtocol.judged.verdict;
  if (isSame(verdict, other)) return [];
  return [
    cautionAbout(
      comparison,
      'trial.sets-disagree',
      'the animals that followed the protocol alone lead to another verdict ' +
        `(${other?.verdict ?? 'none: too few left'}). All animals as drawn stand.`,
      null,
      'intention to treat: rule of this program',
    ),
  ];
}

function ofMissing(answered: Answered): TrialCaution[] {
  const { comparison, missing } = answered;
  if (missing === null) return [];
  const number = { value: missing.head, unit: 'head' };
  const decides = [missing.againstChange, missing.againstUsual].some((one) => !verdictBy(answered, one).same);
  return [
    cautionAbout(
      comparison,
      'trial.missing-animals',
      `${counted(missing.head, 'animal has', 'animals have')} no gain; each is listed with the reason.`,
      number,
      'rule of this program',
    ),
    ...(decides
      ? [
          cautionAbout(
            comparison,
            'trial.missing-could-decide',
            'the verdict could change if the missing animals had gained as much ' +
              'as the best, or as little as the worst.',
            number,
            'the worst and the best gain seen, put in for the missing animals',
          ),
        ]
      : []),
  ];
}

function ofStartWeights({ comparison, asDrawn, answer }: Answered): TrialCaution[] {
  // Pens that are held against themselves or their neighbors need not begin alike.
  if (comparison.trial.designed) return [];
  const usual = describe(asDrawn.usualUnits.map((unit) => unit.startWeightKg));
  const change = describe(asDrawn.changeUnits.map((unit) => unit.startWeightKg));
  const apart = Math.abs(change.mean - usual.mean) / Math.sqrt((usual.variance + change.variance) / 2);
  if (!(apart > TRIAL_CHOICES.balanceShareOfSd.value)) return [];
  return [
    cautionAbout(
      comparison,
      'trial.unbalanced-start',
      `mean start weights are ${apart.toFixed(2)} standard deviations ` +
        `apart${answer.method === 'analysis-of-covariance' ? '; the answer allows for it' : ''}.`,
      { value: apart, unit: 'standard deviations' },
      TRIAL_CHOICES.balanceShareOfSd.source,
    ),
  ];
}

function ofCarryOver({ comparison, compared }: Answered): TrialCaution[] {
  const lingering = compared.designed?.answer.carryOver ?? null;
  if (lingering === null || !(lingering.effect.p < TRIAL_CHOICES.carryOverP.value)) return [];
  const { trial } = comparison;
  const told = (kg: number) => `${shown(kg, trial.wordsIn).toFixed(2)} ${trial.wordsIn} a day`;
  const { difference, low, high } = lingering.allowedFor;
  return [
    cautionAbout(
      comparison,
      'trial.carry-over',
      'what cattle were fed in the period before seems to work on in the next. With that allowed for, the difference ' +
        `is ${told(difference)} (${told(low)} to ${told(high)}); a longer washout would settle it.`,
      { value: lingering.effect.p, unit: 'p-value of no carry-over' },
      TRIAL_CHOICES.carryOverP.source,
    ),
  ];
}
