import { tQuantile } from './distributions.js';
import { lowestShare } from './golden-section.js';
import { percent, roundedOutward, shown, type WordUnit } from './words.js';

/** What one trial of a question found: change less usual feeding, kilograms a day. */
export interface TrialFinding {
  readonly trial: string;
  readonly differenceKgPerDay: number;
  readonly standardErrorKgPerDay: number;
}

/** Several trials of one question taken together. Kilograms a day. */
export interface PooledTrials {
  readonly trials: readonly (TrialFinding & {
    /** Share of the pooled answer that comes from it. */
    readonly weight: number;
  })[];
  readonly differenceKgPerDay: number;
  readonly standardErrorKgPerDay: number;
  readonly degreesOfFreedom: number;
  readonly confidence: number;
  /** Interval of the mean over herds and winters like these. */
  readonly lowKgPerDay: number;
  readonly highKgPerDay: number;
  /** Between which two figures the true difference of one more herd would lie. */
  readonly nextHerd: { readonly lowKgPerDay: number; readonly highKgPerDay: number };
  /** Standard deviation of the true differences from trial to trial. */
  readonly betweenTrialsSdKgPerDay: number;
  /** Cochran's Q and the share of all variation that is between trials (I²). */
  readonly q: number;
  readonly betweenTrialsShare: number;
}

const FIRST_SHARES = [0, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99, 0.999, 0.9999];
const MOST_SHARE = 1 - 1e-9;

/**
 * Random effects: every trial has a true difference of its own, normal about a mean. Variance between trials by
 * restricted maximum likelihood; interval of the mean by Hartung and Knapp, never narrower than without their factor,
 * since few trials may agree by luck; interval for the next herd by Student's t on one less than the trials. Sources:
 * Viechtbauer 2005, Journal of Educational and Behavioral Statistics 30:261-293 (REML); Knapp and Hartung 2003,
 * Statistics in Medicine 22:2693-2710; Röver, Knapp and Friede 2015, BMC Medical Research Methodology 15:99 (never
 * narrower); Higgins, Thompson and Spiegelhalter 2009, Journal of the Royal Statistical Society A 172:137-159 (next
 * herd); Higgins and Thompson 2002, Statistics in Medicine 21:1539-1558 (I²).
 * @returns null with fewer than two trials, or where a standard error is not above zero.
 */
export function pooledTrials(findings: readonly TrialFinding[], confidence: number): PooledTrials | null {
  if (findings.length < 2 || findings.some((one) => !(one.standardErrorKgPerDay > 0))) return null;
  const typical = typicalVariance(findings);
  const fitOf = (share: number) => weighted(findings, (share / (1 - share)) * typical);
  const share = lowestShare(FIRST_SHARES, MOST_SHARE, (at) => fitOf(at).badness);
  const between = (share / (1 - share)) * typical;
  const { mean, total, weights } = fitOf(share);
  const degreesOfFreedom = findings.length - 1;
  const apart = findings.reduce(
    (sum, one, index) => sum + (weights[index] ?? 0) * (one.differenceKgPerDay - mean) ** 2,
    0,
  );
  const standardError = Math.sqrt(Math.max(1, apart / degreesOfFreedom) / total);
  const t = tQuantile({ p: 1 - (1 - confidence) / 2, degreesOfFreedom });
  const reach = t * standardError;
  const reachOfNext = t * Math.sqrt(between + standardError ** 2);
  const fixed = weighted(findings, 0);
  const q = findings.reduce(
    (sum, one, index) => sum + (fixed.weights[index] ?? 0) * (one.differenceKgPerDay - fixed.mean) ** 2,
    0,
  );
  return {
    trials: findings.map((one, index) => ({ ...one, weight: (weights[index] ?? 0) / total })),
    differenceKgPerDay: mean,
    standardErrorKgPerDay: standardError,
    degreesOfFreedom,
    confidence,
    lowKgPerDay: mean - reach,
    highKgPerDay: mean + reach,
    nextHerd: { lowKgPerDay: mean - reachOfNext, highKgPerDay: mean + reachOfNext },
    betweenTrialsSdKgPerDay: Math.sqrt(between),
    q,
    betweenTrialsShare: between / (between + typical),
  };
}

/** Higgins and Thompson's typical variance within a trial. */
function typicalVariance(findings: readonly TrialFinding[]): number {
  const weights = findings.map((one) => one.standardErrorKgPerDay ** -2);
  const sum = weights.reduce((all, weight) => all + weight, 0);
  const squares = weights.reduce((all, weight) => all + weight ** 2, 0);
  return ((findings.length - 1) * sum) / (sum ** 2 - squares);
}

/** Weighted mean with this variance between trials, and twice the negative restricted log likelihood. */
function weighted(findings: readonly TrialFinding[], between: number) {
  const weights = findings.map((one) => 1 / (one.standardErrorKgPerDay ** 2 + between));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const mean = findings.reduce((sum, one, index) => sum + (weights[index] ?? 0) * one.differenceKgPerDay, 0) / total;
  const badness =
    findings.reduce(
      (sum, one, index) =>
        sum - Math.log(weights[index] ?? 1) + (weights[index] ?? 0) * (one.differenceKgPerDay - mean) ** 2,
      0,
    ) + Math.log(total);
  return { weights, total, mean, badness };
}

/** What several trials say together, and what they cannot say. */
export function pooledInWords(pooled: PooledTrials, wordsIn: WordUnit): string[] {
  const told = (low: number, high: number) => {
    const rounded = roundedOutward({ low: shown(low, wordsIn), high: shown(high, wordsIn), places: 2 });
    return `${rounded.low} and ${rounded.high} ${wordsIn} a day`;
  };
  const { lowKgPerDay: low, highKgPerDay: high, nextHerd } = pooled;
  const mean = `${shown(pooled.differenceKgPerDay, wordsIn).toFixed(2)} ${wordsIn} a day`;
  const sure =
    low > 0 ? 'The change gains more' : high < 0 ? 'The change gains less' : 'They do not tell which gains more';
  const next =
    nextHerd.lowKgPerDay > 0
      ? 'so that another herd like these would very likely gain more on the change as well'
      : nextHerd.highKgPerDay < 0
        ? 'so that another herd like these would very likely gain less on the change as well'
        : 'so that another herd may well do the opposite';
  const apart = shown(pooled.betweenTrialsSdKgPerDay, wordsIn).toFixed(2);
  return [
    `${sure}: over the ${pooled.trials.length} trials the change gained ${mean} more than the usual feeding on ` +
      `average, and the mean over herds and winters like these lies between ${told(low, high)} ` +
      `(${percent(pooled.confidence)} confidence).`,
    `In one more herd the true difference would lie between ${told(nextHerd.lowKgPerDay, nextHerd.highKgPerDay)}, ` +
      `${next}.`,
    `From trial to trial the true differences scatter by some ${apart} ${wordsIn} a day; ` +
      `${percent(pooled.betweenTrialsShare)} of what sets the trials apart is more than chance within them.` +
      (pooled.trials.length < 5
        ? ' With so few trials that scatter is hardly known, and the intervals are wide for it.'
        : ''),
    'The trials are taken as they are: whether they asked the same question, of like cattle and hay, is for you to ' +
      'say. Trials that were broken off or never judged are not here, and if it was their result that stopped them, ' +
      'this answer leans the other way.',
  ];
}
