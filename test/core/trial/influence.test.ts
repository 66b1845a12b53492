import fc, { examples } from '../../support/properties.js';
import { linearRegression } from '../../../src/core/trial/linear-regression.js';
import { cooksDistances } from '../../../src/core/trial/residual-checks.js';

const fitted = (x: readonly number[], y: readonly number[]) => {
  const fit = linearRegression({ design: x.map((value) => [1, value]), response: y, hasIntercept: true });
  if (!fit.ok) throw new Error('not estimable');
  return fit;
};

describe('Cook’s distance', () => {
  it(
    'is what Cook 1977 defines: how far all fitted values move when the ' + 'row is left out and the line fitted again',
    () => {
      const value = fc.double({ min: -50, max: 50, noNaN: true, noDefaultInfinity: true });
      fc.assert(
        fc.property(fc.array(fc.tuple(value, value), { minLength: 6, maxLength: 15 }), (pairs) => {
          const x = pairs.map(([one], i) => one + 7 * i);
          const y = pairs.map(([, other], i) => other + i);
          const fit = fitted(x, y);
          fc.pre(fit.residualSd > 1e-3 && fit.leverages.every((leverage) => leverage < 0.99));
          const got = cooksDistances({ ...fit, parameters: 2 });
          x.forEach((_, out) => {
            const again = fitted(
              x.filter((_one, i) => i !== out),
              y.filter((_one, i) => i !== out),
            );
            const moved = x.reduce(
              (sum, at, i) =>
                sum +
                ((fit.fitted[i] ?? NaN) - ((again.coefficients[0] ?? NaN) + (again.coefficients[1] ?? NaN) * at)) ** 2,
              0,
            );
            expect(got[out]).toBeCloseTo(moved / (2 * fit.residualSd ** 2), 6);
          });
          expect(fit.leverages.reduce((sum, leverage) => sum + leverage, 0)).toBeCloseTo(2, 10);
        }),
        { numRuns: examples(50) },
      );
    },
  );
  it('is null where a row decides its own fitted value', () => {
    expect(cooksDistances({ residuals: [0, 1], leverages: [1, 0.5], parameters: 1, residualSd: 1 })).toEqual([null, 2]);
  });
});

describe('linear regression refuses', () => {
  it('columns that repeat others, too few rows, a column of zeros', () => {
    const codes = (design: number[][]) => {
      const got = linearRegression({ design, response: design.map((_, i) => i), hasIntercept: true });
      return got.ok ? 'ok' : got.problems[0]?.code;
    };
    expect(
      codes([
        [1, 2, 4],
        [1, 3, 6],
        [1, 5, 10],
        [1, 8, 16],
      ]),
    ).toBe('trial.model-not-estimable');
    expect(codes([[1, 2]])).toBe('trial.model-not-estimable');
    expect(
      codes([
        [1, 0],
        [1, 0],
        [1, 0],
      ]),
    ).toBe('trial.model-not-estimable');
    expect(() => linearRegression({ design: [[1], [1]], response: [1], hasIntercept: true })).toThrow(RangeError);
  });
});
