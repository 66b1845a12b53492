import { pooledInWords, pooledTrials, type TrialFinding } from '../../../src/core/trial/pooled-trials.js';
import { seededRandom } from '../../../src/core/trial/seeded-random.js';
import reference from '../../reference/statistics/pooled-trials.json';

const finding = (differenceKgPerDay: number, standardErrorKgPerDay: number, trial = 'trial'): TrialFinding => ({
  trial,
  differenceKgPerDay,
  standardErrorKgPerDay,
});

describe('several trials taken together', () => {
  it('is what is published for thirteen trials of a vaccine', () => {
    // Log risk ratio of two arms and its variance: 1/a − 1/n1 + 1/c − 1/n2.
    const findings = reference.rows.map(([a = NaN, b = NaN, c = NaN, d = NaN]) =>
      finding(Math.log(a / (a + b) / (c / (c + d))), Math.sqrt(1 / a - 1 / (a + b) + 1 / c - 1 / (c + d))),
    );
    const found = pooledTrials(findings, 0.95);
    expect(found).not.toBeNull();
    if (found === null) return;
    expect(found.betweenTrialsSdKgPerDay ** 2).toBeCloseTo(reference.tauSquared, 4);
    expect(found.betweenTrialsSdKgPerDay).toBeCloseTo(reference.tau, 4);
    expect(100 * found.betweenTrialsShare).toBeCloseTo(reference.iSquaredPercent, 2);
    expect(found.q).toBeCloseTo(reference.q, 3);
    expect(found.differenceKgPerDay).toBeCloseTo(reference.estimate, 4);
    expect(found.standardErrorKgPerDay).toBeCloseTo(reference.standardError, 4);
    expect(found.degreesOfFreedom).toBe(reference.degreesOfFreedom);
    expect(found.lowKgPerDay).toBeCloseTo(reference.low, 4);
    expect(found.highKgPerDay).toBeCloseTo(reference.high, 4);
    const { riskRatio } = reference;
    expect(Math.exp(found.nextHerd.lowKgPerDay)).toBeCloseTo(riskRatio.predictionLow, 2);
    expect(Math.exp(found.nextHerd.highKgPerDay)).toBeCloseTo(riskRatio.predictionHigh, 2);
    expect(found.trials.reduce((sum, one) => sum + one.weight, 0)).toBeCloseTo(1, 12);
  });

  it('is Student’s interval of the findings themselves where the trials are alike in size and far apart', () => {
    // By hand: equal errors make it the mean with its t interval. Findings 0.1, 0.2, 0.6: mean 0.3, standard deviation
    // √(0.14 / 2) = 0.264575, over √3 = 0.152753; t of 2 degrees of freedom 4.302653.
    const found = pooledTrials([finding(0.1, 0.02), finding(0.2, 0.02), finding(0.6, 0.02)], 0.95);
    expect(found?.differenceKgPerDay).toBeCloseTo(0.3, 6);
    expect(found?.standardErrorKgPerDay).toBeCloseTo(0.152753, 5);
    expect(found?.highKgPerDay).toBeCloseTo(0.3 + 4.302653 * 0.152753, 4);
    // Between trials: 0.07 − 0.02².
    expect((found?.betweenTrialsSdKgPerDay ?? NaN) ** 2).toBeCloseTo(0.07 - 0.0004, 6);
  });

  it('is never surer than its trials where they agree by luck', () => {
    // Three findings that are the same: the plain error of their mean is 0.06 / √3, and the factor is held at one.
    const found = pooledTrials([finding(0.1, 0.06), finding(0.1, 0.06), finding(0.1, 0.06)], 0.95);
    expect(found?.betweenTrialsSdKgPerDay).toBe(0);
    expect(found?.standardErrorKgPerDay).toBeCloseTo(0.06 / Math.sqrt(3), 9);
  });

  it('holds the next herd in 95 of 100 cases', () => {
    const random = seededRandom({ seed: '19' });
    const runs = Array.from({ length: 1000 }, () => {
      const findings = Array.from({ length: 8 }, () =>
        finding(0.1 + 0.08 * random.nextNormal() + 0.04 * random.nextNormal(), 0.04),
      );
      const next = 0.1 + 0.08 * random.nextNormal();
      const found = pooledTrials(findings, 0.95);
      return found !== null && found.nextHerd.lowKgPerDay <= next && next <= found.nextHerd.highKgPerDay;
    });
    // 95 % less three standard errors of a share in a thousand.
    expect(runs.filter(Boolean).length / runs.length).toBeGreaterThan(0.929);
  });

  it('says in words what holds for the mean and what for the next herd', () => {
    const found = pooledTrials(
      [finding(0.3, 0.05), finding(0.1, 0.05), finding(0.22, 0.05), finding(0.02, 0.05)],
      0.95,
    );
    const words = found === null ? '' : pooledInWords(found, 'kg').join('\n');
    expect(words).toContain('over the 4 trials the change gained 0.16 kg a day more');
    expect(words).toContain('another herd may well do the opposite');
    expect(words).toContain('With so few trials');
    expect(words).toContain('never judged are not here');
  });

  it('needs two trials, each with an error', () => {
    expect(pooledTrials([finding(0.1, 0.05)], 0.95)).toBeNull();
    expect(pooledTrials([finding(0.1, 0.05), finding(0.1, 0)], 0.95)).toBeNull();
  });
});
