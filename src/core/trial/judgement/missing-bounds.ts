import { unitsOfArm } from '../analysis-sets.js';
import { compareArms } from '../compare-arms.js';
import { describe } from '../descriptive.js';
import type { TrialArm } from '../trial-records.js';
import { type Comparison, otherUnitsOf } from './comparison.js';
import type { ComparisonJudged } from './judgement.js';

/**
 * How far the animals without a gain could move the answer: they are given the worst gain seen in one arm and the best
 * in the other, then the other way around; a missing start weight is taken as the mean. Null when none is missing, or
 * when no gain is known to put in.
 */
export function missingBounds(comparison: Comparison): ComparisonJudged['missing'] {
  const { trial, usual, change, results, error } = comparison;
  const { confidence } = error;
  const mine = results.filter((result) => result.armId === usual.id || result.armId === change.id);
  const gains = mine.flatMap((result) => (result.gainKgPerDay === null ? [] : [result.gainKgPerDay]));
  const starts = mine.flatMap((result) => (result.startWeightKg === null ? [] : [result.startWeightKg]));
  const head = mine.length - gains.length;
  if (head === 0 || gains.length === 0 || starts.length === 0) return null;
  const meanStart = describe(starts).mean;
  const worst = Math.min(...gains);
  const best = Math.max(...gains);
  const filled = (usualGain: number, changeGain: number) => {
    const whole = mine.map((result) => ({
      ...result,
      startWeightKg: result.startWeightKg ?? meanStart,
      gainKgPerDay: result.gainKgPerDay ?? (result.armId === usual.id ? usualGain : changeGain),
    }));
    const units = (arm: TrialArm) => unitsOfArm({ results: whole, armId: arm.id, unit: trial.unit, set: 'as-drawn' });
    const others = otherUnitsOf(comparison, (arm) =>
      unitsOfArm({ results, armId: arm.id, unit: trial.unit, set: 'as-drawn' }),
    );
    return compareArms({ usual: units(usual), change: units(change), others, method: trial.method, confidence })
      ?.primary;
  };
  const againstChange = filled(best, worst);
  const againstUsual = filled(worst, best);
  return againstChange && againstUsual ? { head, againstChange, againstUsual } : null;
}
