import { tQuantile, tTwoSidedP } from './distributions.js';
import type { Difference } from './two-sample.js';
import { percent, roundedOutward, shown, type WordUnit } from './words.js';

/** Answer to the planned question whether two feedings differ by less than what is worthwhile. Kilograms a day. */
export interface Equivalence {
  /** Either side of zero: the worthwhile difference. */
  readonly marginKgPerDay: number;
  /** Error of each of the two one-sided tests. */
  readonly alpha: number;
  /** Interval at 1 − 2 alpha: the tests reject where it lies within the margin. */
  readonly lowKgPerDay: number;
  readonly highKgPerDay: number;
  /** The larger of the two p-values. */
  readonly p: number;
  readonly shown: boolean;
}

/**
 * Two one-sided tests: the change gains neither less nor more than the usual feeding by the margin. Source: Schuirmann,
 * D.J. 1987. Journal of Pharmacokinetics and Biopharmaceutics 15:657-680.
 */
export function twoOneSidedTests(
  {
    difference,
    standardError,
    degreesOfFreedom,
  }: Pick<Difference, 'difference' | 'standardError' | 'degreesOfFreedom'>,
  { marginKgPerDay, alpha }: { readonly marginKgPerDay: number; readonly alpha: number },
): Equivalence {
  const reach = standardError * tQuantile({ p: 1 - alpha, degreesOfFreedom });
  // The nearer bound of the margin decides.
  const t = (marginKgPerDay - Math.abs(difference)) / standardError;
  const beyond = tTwoSidedP({ t, degreesOfFreedom }) / 2;
  const p = t > 0 ? beyond : 1 - beyond;
  return {
    marginKgPerDay,
    alpha,
    lowKgPerDay: difference - reach,
    highKgPerDay: difference + reach,
    p,
    shown: p < alpha,
  };
}

export function equivalenceInWords(
  found: Equivalence,
  { changeName, usualName, wordsIn }: { changeName: string; usualName: string; wordsIn: WordUnit },
): string {
  const margin = `${shown(found.marginKgPerDay, wordsIn).toFixed(2)} ${wordsIn} a day`;
  const { low, high } = roundedOutward({
    low: shown(found.lowKgPerDay, wordsIn),
    high: shown(found.highKgPerDay, wordsIn),
    places: 2,
  });
  const interval =
    `the interval for that question runs from ${low} to ${high} ${wordsIn} a day ` +
    `(two one-sided tests, ${percent(found.alpha, 1)} each)`;
  return found.shown
    ? `As planned, the trial shows no worthwhile difference: ${changeName} and ${usualName} differ by less than ` +
        `${margin}; ${interval}.`
    : `The trial does not show that ${changeName} and ${usualName} differ by less than ${margin}: ${interval}.`;
}
