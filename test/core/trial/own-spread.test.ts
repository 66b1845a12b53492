import { ownDailyGainSpread, type OwnWeight } from '../../../src/core/trial/own-spread.js';
import anova from '../../reference/statistics/nist-anova.json';
import { agreeingDigits } from './digits.js';

/** Groups of gains as weights: every animal begins at 200 kg and is weighed again after `days`. */
function weightsOf(groups: readonly (readonly number[])[], { days = 100, fill = 'full' as const } = {}): OwnWeight[] {
  return groups.flatMap((gains, group) =>
    gains.flatMap((gain, animal): OwnWeight[] => {
      const own = { animalId: `${group}-${animal}`, herdId: `herd ${group}`, fill };
      return [
        { ...own, day: 1000 * group, weightKg: 200 },
        { ...own, day: 1000 * group + days, weightKg: 200 + gain * days },
      ];
    }),
  );
}

describe('spread of daily gain from own weights', () => {
  // NIST Statistical Reference Datasets, one-way analysis of variance, set SiRstv: five groups of five, certified
  // residual standard deviation.
  it('pools within groups as NIST certifies it (SiRstv)', () => {
    const set = anova.sets.SiRstv;
    const spread = ownDailyGainSpread(weightsOf(set.groups.map((group) => group.map(Number))));
    expect(spread).toMatchObject({
      ok: true,
      degreesOfFreedom: set.withinDegreesOfFreedom,
      animals: 25,
      groups: 5,
      shortestDays: 100,
      longestDays: 100,
    });
    // Weights carry the gains with two leading digits lost each way: 200 + 100 × gain.
    if (spread.ok) expect(agreeingDigits(spread.kgPerDay, set.residualSd)).toBeGreaterThanOrEqual(9);
  });

  it('takes the first and the last weight of one fill, and no pair closer than four weeks', () => {
    const gains = [[0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0]];
    const long = weightsOf(gains);
    const between = long.filter((one) => one.day === 0).map((one) => ({ ...one, day: 50, weightKg: 900 }));
    const shrunk = long
      .filter((one) => one.day === 0)
      .map((one) => ({ ...one, day: 101, weightKg: 100, fill: 'shrunk' as const }));
    const spread = ownDailyGainSpread([...between, ...shrunk, ...long]);
    // Ten numbers 0.1 apart: variance is 0.01 × (10² − 1) / 12 × 10 / 9.
    expect(spread.ok && spread.kgPerDay).toBeCloseTo(Math.sqrt(((0.01 * 99) / 12) * (10 / 9)), 10);
    expect(ownDailyGainSpread(weightsOf(gains, { days: 27 }))).toMatchObject({ ok: false });
    expect(ownDailyGainSpread(weightsOf(gains, { days: 28 }))).toMatchObject({ ok: true });
  });

  it('does not take the difference between herds for spread', () => {
    const one = [0.1, 0.2, 0.3, 0.4, 0.5, 0.6];
    const near = ownDailyGainSpread(weightsOf([one, one]));
    const far = ownDailyGainSpread(weightsOf([one, one.map((gain) => gain + 1)]));
    expect(near.ok && far.ok && Math.abs(near.kgPerDay - far.kgPerDay)).toBeLessThan(1e-12);
  });

  it('says what is lacking', () => {
    expect(ownDailyGainSpread([])).toMatchObject({ ok: false, animals: 0 });
    const nine = ownDailyGainSpread(weightsOf([[0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9]]));
    expect(nine).toMatchObject({ ok: false, animals: 9 });
    expect(nine.ok ? '' : nine.because).toContain('there are 8');
    expect(ownDailyGainSpread(weightsOf([new Array<number>(12).fill(0.5)]))).toMatchObject({
      ok: false,
      because: 'All gains in the books are the same, which real weights never are.',
    });
  });
});
