import { unitsOfArm } from '../analysis-sets.js';
import { describe } from '../descriptive.js';
import { unitsByAnalysis } from '../power-of-analysis.js';
import { normalQuantile } from '../special-functions.js';
import { BETWEEN_PENS, TRIAL_CHOICES } from '../trial.data.js';
import type { TrialArm } from '../trial-records.js';
import { percent, roundedUp, shown } from '../words.js';
import type { Comparison } from './comparison.js';
import type { ComparisonJudged } from './judgement.js';

/**
 * How far the mean daily gains of any two herds fed alike would lie apart, and what it would take to answer, where each
 * arm was fed as one herd; null where it was not, or a gain is not known. Kilograms a day.
 */
export function twoHerdsOf(comparison: Comparison): ComparisonJudged['twoHerds'] {
  const { trial, usual, change, results } = comparison;
  if (trial.unit !== 'pen') return null;
  const unitsOf = (arm: TrialArm, unit: 'animal' | 'pen') =>
    unitsOfArm({ results, armId: arm.id, unit, set: 'as-drawn' });
  const [usualHerd, ...moreUsual] = unitsOf(usual, 'pen');
  const [changeHerd, ...moreChange] = unitsOf(change, 'pen');
  if (!usualHerd || !changeHerd || moreUsual.length + moreChange.length > 0) return null;
  const own = trial.penToPenSdKgPerDay;
  const ofMean = (arm: TrialArm) => {
    const gains = describe(unitsOf(arm, 'animal').map((animal) => animal.gainKgPerDay));
    return gains.n > 1 ? gains.variance / gains.n : 0;
  };
  const variance = own === null ? 2 * BETWEEN_PENS.value ** 2 : 2 * own ** 2 + ofMean(usual) + ofMean(change);
  const worthwhile = trial.worthwhileDifferenceKgPerDay;
  return {
    differenceKgPerDay: changeHerd.gainKgPerDay - usualHerd.gainKgPerDay,
    fedAlikeKgPerDay: normalQuantile(0.975) * Math.sqrt(variance),
    source: own === null ? BETWEEN_PENS.source : 'spread between pens named in the plan',
    herdsPerArm:
      worthwhile === null || variance === 0
        ? null
        : unitsByAnalysis({
            method: trial.method,
            difference: worthwhile,
            sd: Math.sqrt(variance / 2),
            alpha: comparison.error.alpha,
            power: TRIAL_CHOICES.power.value,
            most: 100_000,
          }),
  };
}

export function twoHerdsInWords({ trial, usual, change }: Comparison, found: ComparisonJudged['twoHerds']): string[] {
  if (found === null) return [];
  const { wordsIn: toldIn } = trial;
  const told = (kg: number) => `${shown(kg, toldIn).toFixed(2)} ${toldIn} a day`;
  const apart = Math.abs(found.differenceKgPerDay);
  const which = found.differenceKgPerDay < 0 ? usual.name : change.name;
  const needed =
    found.herdsPerArm === null || trial.worthwhileDifferenceKgPerDay === null
      ? ''
      : `: with ${found.herdsPerArm} in each arm, ${percent(TRIAL_CHOICES.power.value)} of trials would show ` +
        told(trial.worthwhileDifferenceKgPerDay);
  return [
    `The herd on ${which} gained ${told(apart)} more. Any two herds fed alike differ by up to ` +
      `${roundedUp(shown(found.fedAlikeKgPerDay, toldIn), 2)} ${toldIn} a day in 19 of 20 pairs (${found.source}).`,
    `What could answer: several pens or herds in each arm, drawn at random${needed}; or each animal fed by itself.`,
  ];
}
