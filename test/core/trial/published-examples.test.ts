import { analysisOfCovariance } from '../../../src/core/trial/analysis-of-covariance.js';
import { describe as summarize } from '../../../src/core/trial/descriptive.js';
import {
  alphaSpent,
  chanceOfFirstCrossing,
  lookBoundaries,
  type SpendingKind,
} from '../../../src/core/trial/planned-looks.js';
import {
  exactUnitsPerArm,
  lehrUnitsPerArm,
  normalUnitsPerArm,
  smallestVisibleDifference,
  twoSampleTPower,
  unitsPerArm,
} from '../../../src/core/trial/power.js';
import { brownForsythe } from '../../../src/core/trial/residual-checks.js';
import { seededRandom, shuffled } from '../../../src/core/trial/seeded-random.js';
import { pooledDifference, welchDifference } from '../../../src/core/trial/two-sample.js';
import publishedValues from '../../reference/published-values.json';
import handbook from '../../reference/statistics/nist-handbook.json';
import library from '../../reference/statistics/reference-library.json';
import examples from '../../reference/statistics/published-examples.json';

interface PublishedCase {
  id: string;
  topic: string;
  inputs: Record<string, number>;
  expected: unknown;
}
const cases = publishedValues as unknown as PublishedCase[];
const published = (id: string) => {
  const found = cases.find((one) => one.id === id);
  if (!found) throw new Error(`no published case ${id}`);
  return {
    inputs: (name: string) => found.inputs[name] ?? NaN,
    expected: found.expected as Record<string, number> & number,
  };
};
const armsOf = (inputs: (name: string) => number) => ({
  first: { n: inputs('n1'), mean: inputs('mean1'), variance: inputs('sd1') ** 2 },
  second: { n: inputs('n2'), mean: inputs('mean2'), variance: inputs('sd2') ** 2 },
});

describe('published cases, topic statistics', () => {
  it('answers every case of the topic: these and no others', () => {
    expect(cases.filter((one) => one.topic === 'statistics').map((one) => one.id)).toEqual([
      'stat-pooled',
      'stat-welch-small',
      'stat-n-0.75',
      'stat-n-adg',
    ]);
  });
  it('stat-pooled', () => {
    const { inputs, expected } = published('stat-pooled');
    const got = pooledDifference({ ...armsOf(inputs), confidence: 0.95 });
    expect(got.pooledSd).toBeCloseTo(expected['pooled_sd'] ?? NaN, 4);
    expect(-got.t).toBeCloseTo(expected['t'] ?? NaN, 4);
    expect(got.degreesOfFreedom).toBe(expected['df']);
  });
  it('stat-welch-small', () => {
    const { inputs, expected } = published('stat-welch-small');
    const got = welchDifference({ ...armsOf(inputs), confidence: 0.95 });
    expect(got.standardError).toBeCloseTo(expected['se'] ?? NaN, 4);
    expect(Math.abs(got.t - (expected['t'] ?? NaN))).toBeLessThanOrEqual(0.001);
    expect(Math.abs(got.degreesOfFreedom - (expected['df'] ?? NaN))).toBeLessThanOrEqual(0.001);
  });
  it('stat-n-0.75 and stat-n-adg: the rule of sixteen, and the exact answer close by', () => {
    const one = published('stat-n-0.75');
    expect(lehrUnitsPerArm({ difference: one.inputs('effect_over_sd'), sd: 1 })).toBe(one.expected);
    const other = published('stat-n-adg');
    const question = { difference: other.inputs('difference_lb_d'), sd: other.inputs('sd_lb_d') };
    expect(lehrUnitsPerArm(question)).toBe(other.expected);
    expect(
      Math.abs((unitsPerArm({ ...question, alpha: 0.05, power: 0.8 }) ?? NaN) - other.expected),
    ).toBeLessThanOrEqual(2);
  });
});

describe('NIST/SEMATECH e-Handbook', () => {
  it('1.3.5.3: two-sample t on the car data', () => {
    const { usa, japan, expected } = handbook.auto83b;
    const got = pooledDifference({ first: summarize(japan), second: summarize(usa), confidence: 0.95 });
    expect(got.pooledSd).toBeCloseTo(expected.pooledSd, 4);
    expect(got.t).toBeCloseTo(expected.t, 4);
    expect(got.degreesOfFreedom).toBe(expected.degreesOfFreedom);
  });
  it('1.3.5.10: Levene test of the gear data (median form)', () => {
    const got = brownForsythe(handbook.gear.groups);
    // The printed value carries the single precision of its program: five places.
    expect(Math.abs((got?.f ?? NaN) - handbook.gear.expected.w)).toBeLessThan(1e-5);
    expect([got?.between, got?.within]).toEqual([9, 90]);
  });
});

describe(
  'analysis of covariance: cricket pulses at equal temperature ' + '(McDonald 2014; printed output of Mangiafico 2015)',
  () => {
    const { covariate, response, expected } = examples.ancovaCricket;
    const arm = (name: 'ex' | 'niv') =>
      covariate[name].map((value, i) => ({ covariate: value, response: response[name][i] ?? NaN }));
    const got = analysisOfCovariance({ arms: [arm('ex'), arm('niv')], confidence: 0.95 });
    if (!got.ok) throw new Error('not estimable');
    const difference = got.differences[0];
    it('difference, slope and residuals', () => {
      expect(got.slope).toBeCloseTo(expected.slope, 5);
      expect(got.slopeStandardError).toBeCloseTo(expected.slopeStandardError, 5);
      expect(difference?.difference).toBeCloseTo(expected.difference, 5);
      expect(difference?.standardError).toBeCloseTo(expected.differenceStandardError, 5);
      expect(difference?.t).toBeCloseTo(expected.t, 3);
      expect(difference?.degreesOfFreedom).toBe(expected.residualDegreesOfFreedom);
      expect((difference?.p ?? NaN) / expected.p).toBeCloseTo(1, 2);
      expect(got.residualSd).toBeCloseTo(expected.residualSd, 3);
      expect(got.residualSumOfSquares).toBeCloseTo(expected.residualSumOfSquares, 3);
      expect(Math.min(...got.residuals)).toBeCloseTo(expected.smallestResidual, 4);
      expect(Math.max(...got.residuals)).toBeCloseTo(expected.largestResidual, 4);
    });
    it('tests of arms, covariate and equal slopes', () => {
      expect(got.armTest.sumOfSquares).toBeCloseTo(expected.armSumOfSquares, 1);
      expect(got.armTest.f).toBeCloseTo(expected.armF, 1);
      expect(got.covariateTest.f).toBeCloseTo(expected.covariateF, 1);
      expect(got.equalSlopes?.f).toBeCloseTo(expected.equalSlopesF, 3);
      expect(got.equalSlopes?.p).toBeCloseTo(expected.equalSlopesP, 4);
      expect(got.equalSlopes?.residualSumOfSquares).toBeCloseTo(expected.equalSlopesResidualSumOfSquares, 3);
      expect(got.equalSlopes?.within).toBe(expected.equalSlopesResidualDegreesOfFreedom);
    });
    it('adjusted means differ by the adjusted difference', () => {
      const [first, second] = got.adjustedMeans;
      expect((second ?? NaN) - (first ?? NaN)).toBeCloseTo(expected.difference, 5);
    });
    it('refuses what cannot be estimated', () => {
      const same = [
        { covariate: 5, response: 1 },
        { covariate: 5, response: 2 },
        { covariate: 5, response: 3 },
      ];
      expect(analysisOfCovariance({ arms: [same, same], confidence: 0.95 })).toMatchObject({
        ok: false,
        problems: [{ code: 'trial.model-not-estimable' }],
      });
      expect(analysisOfCovariance({ arms: [same, []], confidence: 0.95 })).toMatchObject({ ok: false });
    });
  },
);

describe('Welch on the sleep data (Student 1908)', () => {
  it('matches the printed interval', () => {
    const { group1, group2 } = library.twoSample;
    const got = welchDifference({ first: summarize(group2), second: summarize(group1), confidence: 0.95 });
    const { t, degreesOfFreedom, p, low, high } = examples.welchSleep;
    expect([got.t, got.degreesOfFreedom, got.p, got.low, got.high]).toEqual([
      expect.closeTo(t, 4),
      expect.closeTo(degreesOfFreedom, 3),
      expect.closeTo(p, 5),
      expect.closeTo(low, 7),
      expect.closeTo(high, 7),
    ]);
  });
});

describe('power and sample size', () => {
  it.each(examples.power.cases)(
    'power of $perArm per arm for $difference over $sd',
    ({ perArm, difference, sd, power }) => {
      // The printed value leaves out the chance of rejecting on the wrong side, below one in a million here.
      expect(Math.abs(twoSampleTPower({ perArm, difference, sd, alpha: 0.05 }) - power)).toBeLessThan(1e-6);
      expect(smallestVisibleDifference({ perArm, sd, alpha: 0.05, power })).toBeCloseTo(difference, 5);
    },
  );
  it.each(examples.power.sampleSizes)(
    'units per arm for $difference over $sd at power $power',
    ({ difference, sd, power, exactN }) => {
      const exact = exactUnitsPerArm({ difference, sd, alpha: 0.05, power }) ?? NaN;
      expect(exact).toBeCloseTo(exactN, 3);
      expect(unitsPerArm({ difference, sd, alpha: 0.05, power })).toBe(Math.ceil(exactN));
      const normal = normalUnitsPerArm({ difference, sd, alpha: 0.05, power });
      expect(normal).toBeLessThan(exact);
      expect(exact - normal).toBeLessThan(2);
    },
  );
  it('with no true difference the test rejects at its level, both sides counted', () => {
    for (const perArm of [2, 5, 20])
      expect(twoSampleTPower({ perArm, difference: 0, sd: 1, alpha: 0.05 })).toBeCloseTo(0.05, 10);
    expect(() => twoSampleTPower({ perArm: 1, difference: 1, sd: 1, alpha: 0.05 })).toThrow(RangeError);
  });
  it('says null when no number of animals would do', () => {
    expect(exactUnitsPerArm({ difference: 0, sd: 1, alpha: 0.05, power: 0.8 })).toBeNull();
    expect(exactUnitsPerArm({ difference: 0.0001, sd: 1, alpha: 0.05, power: 0.8, most: 1000 })).toBeNull();
  });
});

describe('several looks', () => {
  it.each(examples.sequential.spending)(
    '$kind boundaries at $fractions, alpha $alpha',
    ({ kind, alpha, fractions, z }) => {
      const got = lookBoundaries({ fractions, alpha, kind: kind as SpendingKind });
      got.forEach((look, i) => expect(Math.abs(look.z - (z[i] ?? NaN))).toBeLessThan(0.0006));
      expect(got.at(-1)?.alphaSpent).toBeCloseTo(alpha, 12);
      // What the boundaries let through, integrated again from the boundaries alone, is what was to be spent.
      const crossed = chanceOfFirstCrossing({ fractions, z: got.map((look) => look.z) });
      expect(crossed.reduce((sum, chance) => sum + chance, 0)).toBeCloseTo(alpha, 6);
    },
  );
  it.each(Object.entries(examples.sequential.constant.z))(
    'Pocock 1977: %s equal looks at one constant keep 5 %%',
    (looks, z) => {
      const k = Number(looks);
      const chances = chanceOfFirstCrossing({
        fractions: Array.from({ length: k }, (_, i) => (i + 1) / k),
        z: new Array<number>(k).fill(z),
      });
      // The constants are printed to three decimals, which is worth 0.0001 of alpha.
      expect(Math.abs(chances.reduce((sum, chance) => sum + chance, 0) - 0.05)).toBeLessThan(1e-4);
    },
  );
  it('spends nothing before the start and refuses looks out of order', () => {
    expect(alphaSpent({ kind: 'pocock-type', alpha: 0.05, fraction: 0 })).toBe(0);
    expect(() => lookBoundaries({ fractions: [0.5, 0.4], alpha: 0.05, kind: 'pocock-type' })).toThrow(RangeError);
  });
});

describe('seeded generator', () => {
  it('gives the published demonstration values', () => {
    const random = seededRandom({ seed: examples.pcg32.seed, stream: examples.pcg32.stream });
    expect(examples.pcg32.values.map(() => random.nextUint32())).toEqual(examples.pcg32.values);
  });
  it('shuffles every order equally often (chi-square on 24 orders, 1 in 1000)', () => {
    const random = seededRandom({ seed: '7' });
    const counts = new Map<string, number>();
    for (let i = 0; i < 24_000; i += 1) {
      const order = shuffled(['a', 'b', 'c', 'd'], random).join('');
      counts.set(order, (counts.get(order) ?? 0) + 1);
    }
    expect(counts.size).toBe(24);
    // 49.73: chi-square on 23 degrees of freedom, 0.001 upper point (Abramowitz and Stegun 1964, table 26.8: 49.728).
    expect([...counts.values()].reduce((sum, count) => sum + (count - 1000) ** 2 / 1000, 0)).toBeLessThan(49.73);
  });
  it('refuses a seed that is not a number below 2^64', () => {
    expect(() => seededRandom({ seed: 'abc' })).toThrow(RangeError);
    expect(() => seededRandom({ seed: '18446744073709551616' })).toThrow(RangeError);
  });
});
