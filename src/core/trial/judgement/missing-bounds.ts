import { describe } from '../descriptive.js';
import { type Comparison, comparedBy } from './comparison.js';
import type { ComparisonJudged } from './judgement.js';

/**
 * How far the animals without a gain could move the answer: they are given the worst gain seen in one arm and the best
 * in the other, then the other way around; a missing start weight is taken as the mean. Null when none is missing, or
 * when no gain is known to put in.
 */
export function missingBounds(comparison: Comparison): ComparisonJudged['missing'] {
  const { usual, change, results } = comparison;
  const isMine = ({ armId }: { armId: string }) => armId === usual.id || armId === change.id;
  const mine = results.filter(isMine);
  const others = results.filter((result) => !isMine(result));
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
    return comparedBy(comparison, [...whole, ...others], 'as-drawn')?.primary;
  };
  const againstChange = filled(best, worst);
  const againstUsual = filled(worst, best);
  return againstChange && againstUsual ? { head, againstChange, againstUsual } : null;
}
