import { Decimal } from 'decimal.js';
import { describe as summarize } from '../../../src/core/trial/descriptive.js';
import { linearRegression } from '../../../src/core/trial/linear-regression.js';
import { oneWayAnova } from '../../../src/core/trial/one-way-anova.js';
import anova from '../../reference/statistics/nist-anova.json';
import regression from '../../reference/statistics/nist-linear-regression.json';
import univariate from '../../reference/statistics/nist-univariate.json';
import { agreeingDigits } from './digits.js';

/*
 * NIST Statistical Reference Datasets: every set of the univariate, analysis of variance and linear regression
 * collections. The digits asked for are stated here before the run. Where fewer than 13 are asked for, the loss happens
 * before any arithmetic: 10000000.2 or 1000000000000.4 is not a double, so the digits after the shared leading ones are
 * gone when the program receives them. The second block takes the shared leading digits off in decimals first and asks
 * for all digits.
 */
interface UnivariateSet {
  n: number;
  mean: string;
  sd: string;
  data?: string[];
  digits?: string;
  construction?: { first: string; pair: string[]; pairs: number };
}
const textOf = (set: UnivariateSet): string[] => {
  if (set.data) return set.data;
  if (set.digits) return [...set.digits];
  const { first, pair, pairs } = set.construction ?? { first: '', pair: [], pairs: 0 };
  return [first, ...Array.from({ length: pairs }, () => pair).flat()];
};
const sdDigits: Record<string, number> = { Michelso: 13, Mavro: 12, NumAcc2: 13, NumAcc3: 9, NumAcc4: 8 };

describe('NIST StRD univariate', () => {
  const sets = Object.entries(univariate.sets as Record<string, UnivariateSet>);
  it('has all nine sets', () => expect(sets).toHaveLength(9));
  it.each(sets)('%s: mean and standard deviation', (name, set) => {
    const text = textOf(set);
    expect(text).toHaveLength(set.n);
    const got = summarize(text.map(Number));
    expect(agreeingDigits(got.mean, set.mean)).toBeGreaterThanOrEqual(14.5);
    expect(agreeingDigits(got.sd, set.sd)).toBeGreaterThanOrEqual(sdDigits[name] ?? 14);
    const base = new Decimal(text[0] ?? 0);
    const shifted = summarize(text.map((value) => new Decimal(value).minus(base).toNumber()));
    expect(agreeingDigits(shifted.sd, set.sd)).toBeGreaterThanOrEqual(14);
  });
});

interface AnovaSet {
  betweenDegreesOfFreedom: number;
  betweenSumOfSquares: string;
  betweenMeanSquare: string;
  f: string;
  withinDegreesOfFreedom: number;
  withinSumOfSquares: string;
  withinMeanSquare: string;
  rSquared: string;
  residualSd: string;
  groups?: string[][];
  construction?: { firsts: string[]; minus: string; plus: string; perTreatment: number };
}
const groupsOf = (set: AnovaSet): string[][] => {
  if (set.groups) return set.groups;
  const { firsts, minus, plus, perTreatment } = set.construction ?? {
    firsts: [],
    minus: '0',
    plus: '0',
    perTreatment: 1,
  };
  return firsts.map((first) => {
    const pair = [new Decimal(first).minus(minus).toFixed(), new Decimal(first).plus(plus).toFixed()];
    return [first, ...Array.from({ length: (perTreatment - 1) / 2 }, () => pair).flat()];
  });
};
// Six shared leading digits leave about nine, twelve leave about three of the digits that a double can carry.
const fDigits: Record<string, number> = {
  AtmWtAg: 9,
  SmLs04: 9,
  SmLs05: 9,
  SmLs06: 9,
  SmLs07: 2.5,
  SmLs08: 2.5,
  SmLs09: 2.5,
};

describe('NIST StRD one-way analysis of variance', () => {
  const sets = Object.entries(anova.sets as Record<string, AnovaSet>);
  it('has all eleven sets', () => expect(sets).toHaveLength(11));
  it.each(sets)('%s', (name, set) => {
    const text = groupsOf(set);
    const check = (groups: number[][], digits: number) => {
      const got = oneWayAnova(groups);
      expect(got.between.degreesOfFreedom).toBe(set.betweenDegreesOfFreedom);
      expect(got.within.degreesOfFreedom).toBe(set.withinDegreesOfFreedom);
      const pairs: [number, string][] = [
        [got.between.sumOfSquares, set.betweenSumOfSquares],
        [got.between.meanSquare, set.betweenMeanSquare],
        [got.within.sumOfSquares, set.withinSumOfSquares],
        [got.within.meanSquare, set.withinMeanSquare],
        [got.f, set.f],
        [got.rSquared, set.rSquared],
        [got.residualSd, set.residualSd],
      ];
      for (const [computed, certified] of pairs)
        expect(agreeingDigits(computed, certified)).toBeGreaterThanOrEqual(digits);
    };
    check(
      text.map((group) => group.map(Number)),
      fDigits[name] ?? 12.5,
    );
    const base = new Decimal(text[0]?.[0] ?? 0);
    check(
      text.map((group) => group.map((value) => new Decimal(value).minus(base).toNumber())),
      12.5,
    );
  });
});

interface RegressionSet {
  intercept: boolean;
  degree: number | null;
  coefficients: string[];
  standardErrors: string[];
  residualSd: string;
  rSquared: string;
  residualDegreesOfFreedom: number;
  residualSumOfSquares: string;
  f: string;
  y: string[];
  x: (string | string[])[];
}
// Filip: the tenth power of a ten-digit number is rounded on its way into the design, which costs half the digits; see
// the block below.
const coefficientDigits: Record<string, number> = { Filip: 7 };

describe('NIST StRD linear regression', () => {
  const sets = Object.entries(regression.sets as Record<string, RegressionSet>);
  it('has all eleven sets', () => expect(sets).toHaveLength(11));
  it.each(sets)('%s', (name, set) => {
    const design = set.x.map((x) => {
      const predictors = Array.isArray(x)
        ? x.map(Number)
        : Array.from({ length: set.degree ?? 1 }, (_, power) => new Decimal(x).pow(power + 1).toNumber());
      return set.intercept ? [1, ...predictors] : predictors;
    });
    const got = linearRegression({ design, response: set.y.map(Number), hasIntercept: set.intercept });
    if (!got.ok) throw new Error('not estimable');
    expect(got.residualDegreesOfFreedom).toBe(set.residualDegreesOfFreedom);
    const digits = coefficientDigits[name] ?? 13;
    set.coefficients.forEach((certified, j) =>
      expect(agreeingDigits(got.coefficients[j] ?? NaN, certified)).toBeGreaterThanOrEqual(digits),
    );
    set.standardErrors.forEach((certified, j) =>
      expect(agreeingDigits(got.standardErrors[j] ?? NaN, certified)).toBeGreaterThanOrEqual(digits),
    );
    expect(agreeingDigits(got.residualSd, set.residualSd)).toBeGreaterThanOrEqual(digits);
    expect(agreeingDigits(got.rSquared, set.rSquared)).toBeGreaterThanOrEqual(digits);
  });
});

describe('NIST StRD Filip with its powers taken about −6 in thirds', () => {
  it('keeps 13 digits of every certified value once the design is not rounded away', () => {
    const set = (regression.sets as Record<string, RegressionSet>)['Filip'];
    if (!set) throw new Error('no Filip');
    const Exact = Decimal.clone({ precision: 60 });
    const [center, scale] = [new Exact(-6), new Exact(3)];
    const got = linearRegression({
      design: set.x.map((x) =>
        Array.from({ length: 11 }, (_, power) => new Exact(String(x)).minus(center).div(scale).pow(power).toNumber()),
      ),
      response: set.y.map(Number),
      hasIntercept: true,
    });
    if (!got.ok) throw new Error('not estimable');
    const choose = (n: number, k: number) =>
      Math.round(
        Array.from({ length: k }, (_, i) => (n - i) / (i + 1)).reduce((product, factor) => product * factor, 1),
      );
    set.coefficients.forEach((certified, k) => {
      // The binomial theorem, in 60 digits, turns the coefficients back to powers of x.
      const back = got.coefficients.slice(k).reduce(
        (sum, coefficient, i) =>
          sum.plus(
            new Exact(coefficient)
              .div(scale.pow(k + i))
              .times(choose(k + i, k))
              .times(center.negated().pow(i)),
          ),
        new Exact(0),
      );
      expect(agreeingDigits(back.toNumber(), certified)).toBeGreaterThanOrEqual(13);
    });
    expect(agreeingDigits(got.residualSd, set.residualSd)).toBeGreaterThanOrEqual(13);
    expect(agreeingDigits(got.rSquared, set.rSquared)).toBeGreaterThanOrEqual(13);
  });
});
