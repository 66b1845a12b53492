import { compareArms } from '../../../src/core/trial/compare-arms.js';
import { describe as describeValues } from '../../../src/core/trial/descriptive.js';
import { twoOneSidedTests } from '../../../src/core/trial/equivalence.js';
import { judgeTrial } from '../../../src/core/trial/judge-trial.js';
import { powerOfAnalysis } from '../../../src/core/trial/power-of-analysis.js';
import { seededRandom } from '../../../src/core/trial/seeded-random.js';
import { pooledDifference } from '../../../src/core/trial/two-sample.js';
import reference from '../../reference/statistics/equivalence.json';
import { animal, trial } from './support.js';

describe('no worthwhile difference, by two one-sided tests', () => {
  it('agrees with a library of another language', () => {
    const { usual, change, p, low, high } = reference.tests;
    const pooled = pooledDifference({
      first: describeValues(usual),
      second: describeValues(change),
      confidence: 0.95,
    });
    for (const [margin, expected] of p) {
      const found = twoOneSidedTests(pooled, { marginKgPerDay: margin ?? NaN, alpha: 0.05 });
      expect(found.p).toBeCloseTo(expected ?? NaN, 10);
      expect(found.shown).toBe((expected ?? NaN) < 0.05);
      expect(found.lowKgPerDay).toBeCloseTo(low, 9);
      expect(found.highKgPerDay).toBeCloseTo(high, 9);
    }
    const outside = twoOneSidedTests({ ...pooled, difference: 3 }, { marginKgPerDay: 2, alpha: 0.05 });
    expect(outside.p).toBeGreaterThan(0.5);
  });

  // Welch with equal arms has the statistic of the pooled test and a little fewer degrees of freedom; covariance loses
  // one to the slope.
  it.each(['welch', 'analysis-of-covariance'] as const)(
    'has the power of its definition, or a little less (%s)',
    (method) => {
      for (const [perArm = NaN, sd = NaN, difference = NaN, expected = NaN] of reference.power.cases) {
        const power = powerOfAnalysis({ method, perArm, sd, difference, alpha: 0.05, equivalence: true });
        expect(power).toBeLessThan(expected + 1e-3);
        expect(power).toBeGreaterThan(expected - 0.09);
      }
      const exact = powerOfAnalysis({ method, perArm: 2000, sd: 1, difference: 0.1, alpha: 0.05, equivalence: true });
      // With very many units it is normal: 2 Φ(0.1 / √(2 / 2000) − 1.6449) − 1 = 2 Φ(1.5174) − 1 = 0.8708.
      expect(exact).toBeCloseTo(0.8708, 2);
    },
  );

  // Simulated trials: where the truth is the margin itself it is shown in no more than 5 % of them; where nothing
  // differs as often as the plan says; within four standard errors of the count.
  it('keeps its error, and the power of the plan', () => {
    const [perArm, trials, margin] = [8, 1500, 1.6];
    const random = seededRandom({ seed: '1987' });
    const units = (shift: number) =>
      Array.from({ length: perArm }, (_, index) => ({
        id: `${index}`,
        head: 1,
        startWeightKg: 250 + 10 * random.nextNormal(),
        gainKgPerDay: shift + random.nextNormal(),
      }));
    const shown = (truth: number) => {
      let count = 0;
      for (let one = 0; one < trials; one += 1) {
        const compared = compareArms({
          usual: units(0),
          change: units(truth),
          method: 'analysis-of-covariance',
          confidence: 0.95,
        });
        if (compared && twoOneSidedTests(compared.primary, { marginKgPerDay: margin, alpha: 0.05 }).shown) count += 1;
      }
      return count / trials;
    };
    const error = (share: number) => 4 * Math.sqrt((share * (1 - share)) / trials);
    expect(shown(margin)).toBeLessThan(0.05 + error(0.05));
    const power = powerOfAnalysis({
      method: 'analysis-of-covariance',
      perArm,
      sd: 1,
      difference: margin,
      alpha: 0.05,
      equivalence: true,
    });
    expect(Math.abs(shown(0) - power)).toBeLessThan(error(power));
  });

  it('is answered where the plan asks for it, and not where it does not', () => {
    const alike = [0.4, 0.41, 0.39, 0.42, 0.38, 0.4].flatMap((gain, index) => [
      animal(`u${index}`, 'usual', gain, { startKg: 250 + index }),
      animal(`c${index}`, 'layered', gain + 0.002 * (index % 2), { startKg: 251 + index }),
    ]);
    const asked = judgeTrial(trial(alike, { equivalence: true }));
    const found = asked.ok ? asked.comparisons[0] : undefined;
    expect(found?.equivalence).toMatchObject({ shown: true, alpha: expect.closeTo(0.05, 12) as number });
    expect(found?.verdict.sentences.join(' ')).toContain('As planned, the trial shows no worthwhile difference');
    const wide = judgeTrial(trial(alike, { equivalence: true, worthwhileDifferenceKgPerDay: 0.0001 }));
    expect(wide.ok && wide.words.join(' ')).toContain('does not show that');
    const unasked = judgeTrial(trial(alike));
    expect(unasked.ok && unasked.comparisons[0]?.equivalence).toBeNull();
  });
});
