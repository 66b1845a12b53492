import { compareArms } from '../../../src/core/trial/compare-arms.js';
import { describe as describeValues } from '../../../src/core/trial/descriptive.js';
import { dunnettCritical, dunnettCumulative, dunnettShare } from '../../../src/core/trial/dunnett.js';
import { tQuantile } from '../../../src/core/trial/distributions.js';
import { powerOfAnalysis } from '../../../src/core/trial/power-of-analysis.js';
import { seededRandom } from '../../../src/core/trial/seeded-random.js';
import { oneWayAnova } from '../../../src/core/trial/one-way-anova.js';
import dunnett from '../../reference/statistics/dunnett.json';

describe('several changes against one usual feeding, after Dunnett', () => {
  const { tables, chances, bloodCounts } = dunnett;

  it('agrees with the tables of 1964 to their digits', () => {
    tables.fivePercent.forEach((row, index) =>
      row.forEach((value, column) => {
        const changes = new Array<number>(tables.changes[column] ?? NaN).fill(6);
        const degreesOfFreedom = tables.degreesOfFreedom[index] ?? NaN;
        const found = dunnettCritical({ alpha: 0.05, degreesOfFreedom, sizes: { usual: 6, changes } });
        expect(Math.abs(found - value)).toBeLessThan(0.0055);
      }),
    );
  });

  it.each(chances.cases)('agrees with a library of another language: %j', ({ chance, usual, changes, ...given }) => {
    expect(Math.abs(dunnettCumulative({ ...given, sizes: { usual, changes } }) - chance)).toBeLessThan(6e-6);
  });

  it("gives the intervals of Dunnett's own example", () => {
    const arms = [bloodCounts.usual, ...bloodCounts.changes];
    const { residualSd: sd } = oneWayAnova(arms);
    const sizes = { usual: bloodCounts.usual.length, changes: bloodCounts.changes.map((arm) => arm.length) };
    const degreesOfFreedom = arms.flat().length - arms.length;
    const share = dunnettShare({ alpha: 0.05, degreesOfFreedom, sizes });
    const critical = tQuantile({ p: 1 - share / 2, degreesOfFreedom });
    bloodCounts.changes.forEach((arm, index) => {
      const difference = describeValues(arm).mean - describeValues(bloodCounts.usual).mean;
      const error = sd * Math.sqrt(1 / arm.length + 1 / bloodCounts.usual.length);
      expect(difference / error).toBeCloseTo(bloodCounts.t[index] ?? NaN, 7);
      // The library finds its intervals by random points.
      expect(Math.abs(difference - critical * error - (bloodCounts.low[index] ?? NaN))).toBeLessThan(3e-3);
      expect(Math.abs(difference + critical * error - (bloodCounts.high[index] ?? NaN))).toBeLessThan(3e-3);
    });
  });

  it('lies between one comparison alone and Bonferroni', () => {
    const sizes = { usual: 4, changes: [4, 4, 4] };
    const share = dunnettShare({ alpha: 0.05, degreesOfFreedom: 1, sizes });
    expect(share).toBeGreaterThan(0.05 / 3);
    expect(share).toBeLessThan(0.05);
    expect(dunnettShare({ alpha: 0.05, degreesOfFreedom: 12, sizes: { usual: 4, changes: [4] } })).toBe(0.05);
  });

  // Trials in which nothing differs, so that the truth is known: all three intervals hold it in 95 % of trials, within
  // four standard errors of the count; and a plan's power for one change is met as often as it says.
  it('keeps the error of all comparisons together in simulated trials, and the power of one', () => {
    const [perArm, trials, effect] = [4, 2000, 3];
    const random = seededRandom({ seed: '1955' });
    const units = (name: string, shift: number) =>
      Array.from({ length: perArm }, (_, index) => ({
        id: `${name}${index}`,
        head: 1,
        startWeightKg: 250 + 10 * random.nextNormal(),
        gainKgPerDay: shift + random.nextNormal(),
      }));
    const sizes = { usual: perArm, changes: [perArm, perArm, perArm] };
    const confidence = 1 - dunnettShare({ alpha: 0.05, degreesOfFreedom: 4 * perArm - 5, sizes });
    let [held, found] = [0, 0];
    for (let trial = 0; trial < trials; trial += 1) {
      const usual = units('u', 0);
      const changes = [units('a', 0), units('b', 0), units('c', effect)];
      const answers = changes.map((change, index) => {
        const others = changes.filter((_, other) => other !== index);
        return compareArms({ usual, change, others, method: 'analysis-of-covariance', confidence })!.primary;
      });
      if (
        answers.every(({ low, high }, index) => low <= (index === 2 ? effect : 0) && high >= (index === 2 ? effect : 0))
      )
        held += 1;
      if ((answers[2]?.low ?? NaN) > 0) found += 1;
    }
    const error = (share: number) => 4 * Math.sqrt((share * (1 - share)) / trials);
    expect(Math.abs(held / trials - 0.95)).toBeLessThan(error(0.95));
    const power = powerOfAnalysis({
      method: 'analysis-of-covariance',
      perArm,
      difference: effect,
      sd: 1,
      alpha: 0.05,
      changes: 3,
    });
    expect(Math.abs(found / trials - power)).toBeLessThan(error(power));
  });
});
