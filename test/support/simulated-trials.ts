import { analysisOfCovariance } from '../../src/core/trial/analysis-of-covariance.js';
import { describe } from '../../src/core/trial/descriptive.js';
import { powerOfAnalysis } from '../../src/core/trial/power-of-analysis.js';
import { seededRandom } from '../../src/core/trial/seeded-random.js';
import { welchDifference } from '../../src/core/trial/two-sample.js';

interface SimulatedScenario {
  readonly perArm: number;
  readonly trueDifferenceKgPerDay: number;
  readonly sdKgPerDay: number;
  /**
   * Gain rises by this for each standard deviation of start weight, in kilograms a day; the rest of the spread is left
   * over.
   */
  readonly gainPerStartWeightSd: number;
}

interface CoverageRow extends SimulatedScenario {
  readonly trials: number;
  readonly confidence: number;
  readonly method: 'welch' | 'analysis-of-covariance';
  /** Share of intervals that held the true difference. */
  readonly coverage: number;
  /** Share of intervals that did not hold zero: false alarms when nothing differs, power when something does. */
  readonly foundDifference: number;
  /** What the plan promises for `foundDifference`. */
  readonly planned: number;
  /** One standard error of the simulated shares about what the plan promises. */
  readonly monteCarloError: { readonly coverage: number; readonly foundDifference: number };
}

/**
 * Simulates trials with normal gains and start weights and counts how often the interval holds the truth and how often
 * it finds a difference, by Welch and by analysis of covariance, beside what a plan promises. The same seed gives the
 * same table.
 */
export function coverageAndPowerTable({
  scenarios,
  trials,
  confidence,
  seed,
}: {
  scenarios: readonly SimulatedScenario[];
  trials: number;
  confidence: number;
  seed: string;
}): CoverageRow[] {
  return scenarios.flatMap((scenario, index) => {
    const random = seededRandom({ seed, stream: String(index + 1) });
    const { perArm, trueDifferenceKgPerDay: truth, sdKgPerDay: sd, gainPerStartWeightSd: slope } = scenario;
    const leftOver = Math.sqrt(sd ** 2 - slope ** 2);
    const methods = ['welch', 'analysis-of-covariance'] as const;
    const counts = { welch: { held: 0, found: 0 }, 'analysis-of-covariance': { held: 0, found: 0 } };
    for (let trial = 0; trial < trials; trial += 1) {
      const arm = (shift: number) =>
        Array.from({ length: perArm }, () => {
          const weight = random.nextNormal();
          return { covariate: weight, response: shift + slope * weight + leftOver * random.nextNormal() };
        });
      const usual = arm(0);
      const change = arm(truth);
      const covariance = analysisOfCovariance({ arms: [usual, change], confidence });
      const answers = {
        welch: welchDifference({
          first: describe(usual.map((row) => row.response)),
          second: describe(change.map((row) => row.response)),
          confidence,
        }),
        'analysis-of-covariance': covariance.ok ? covariance.differences[0] : undefined,
      };
      for (const method of methods) {
        const answer = answers[method];
        if (!answer) continue;
        if (answer.low <= truth && truth <= answer.high) counts[method].held += 1;
        if (answer.low > 0 || answer.high < 0) counts[method].found += 1;
      }
    }
    return methods.map((method): CoverageRow => {
      const planned = powerOfAnalysis({
        method,
        perArm,
        difference: truth,
        sd: method === 'welch' ? sd : leftOver,
        alpha: 1 - confidence,
      });
      const error = (share: number) => Math.sqrt((share * (1 - share)) / trials);
      return {
        ...scenario,
        trials,
        confidence,
        method,
        coverage: counts[method].held / trials,
        foundDifference: counts[method].found / trials,
        planned,
        monteCarloError: { coverage: error(confidence), foundDifference: error(planned) },
      };
    });
  });
}
