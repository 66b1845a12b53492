import { compensatedSum, describe } from './descriptive.js';
import { leastSquares } from './least-squares.js';
import { type Refusal, refused } from '../outcome/outcome.js';
import { problem } from '../outcome/problem.js';

export interface LinearFit {
  readonly ok: true;
  readonly coefficients: readonly number[];
  readonly standardErrors: readonly number[];
  readonly residuals: readonly number[];
  readonly fitted: readonly number[];
  /** Diagonal of the hat matrix: how much each row decides its own fitted value. */
  readonly leverages: readonly number[];
  readonly residualSumOfSquares: number;
  readonly residualDegreesOfFreedom: number;
  readonly residualSd: number;
  readonly rSquared: number;
  /**
   * One coefficient again without one row. Null where the row alone decides its fitted value or no degree of freedom is
   * left.
   */
  without(
    row: number,
    coefficient: number,
  ): { readonly coefficient: number; readonly standardError: number; readonly degreesOfFreedom: number } | null;
}

function notEstimable(given: string): Refusal {
  return refused(
    problem(
      'trial.model-not-estimable',
      'design',
      given,
      'more rows than columns, no column that repeats others',
      'The model cannot be estimated from these records.',
    ),
  );
}

/**
 * Linear regression by least squares (see least-squares.ts), good to the digits that NIST certifies on its hard sets.
 * `design` is one row per observation; put a column of ones in it for an intercept and say so: R² is about the mean
 * then, about zero otherwise.
 * @returns a refusal with code `trial.model-not-estimable` if columns repeat each other or rows are too few.
 * @throws RangeError if rows and responses differ in number.
 */
export function linearRegression({
  design,
  response,
  hasIntercept,
}: {
  design: readonly (readonly number[])[];
  response: readonly number[];
  hasIntercept: boolean;
}): LinearFit | Refusal {
  const n = design.length;
  const p = design[0]?.length ?? 0;
  if (response.length !== n || design.some((row) => row.length !== p))
    throw new RangeError('The design has another number of rows or columns than the response');
  if (p === 0 || n < p) return notEstimable(`${n} rows, ${p} columns`);

  const lengths = Array.from({ length: p }, (_, j) =>
    Math.sqrt(design.reduce((sum, row) => sum + (row[j] ?? 0) ** 2, 0)),
  );
  if (lengths.some((length) => length === 0)) return notEstimable('a column of zeros');
  // Powers of two bring the columns to like length without rounding.
  const scales = lengths.map((length) => 2 ** -Math.round(Math.log2(length)));
  const columns = scales.map((scale, j) => {
    const column = new Float64Array(n);
    for (let i = 0; i < n; i += 1) column[i] = (design[i]?.[j] ?? 0) * scale;
    return column;
  });
  const fit = leastSquares({ columns, response });
  if (fit === null) return notEstimable('a column that repeats others');

  const { residuals, leverages } = fit;
  const residualDegreesOfFreedom = n - p;
  const residualSumOfSquares = compensatedSum(residuals.map((value) => value ** 2));
  const residualVariance = residualDegreesOfFreedom > 0 ? residualSumOfSquares / residualDegreesOfFreedom : Number.NaN;
  const totalSumOfSquares = hasIntercept
    ? describe(response).sumOfSquares
    : compensatedSum(response.map((value) => value ** 2));
  return {
    ok: true,
    coefficients: fit.solution.map((value, j) => value * (scales[j] ?? 1)),
    standardErrors: fit.inverseDiagonal.map((value, j) => Math.sqrt(residualVariance * value) * (scales[j] ?? 1)),
    residuals,
    fitted: response.map((value, i) => value - (residuals[i] ?? 0)),
    leverages,
    residualSumOfSquares,
    residualDegreesOfFreedom,
    residualSd: Math.sqrt(residualVariance),
    rSquared: totalSumOfSquares === 0 ? 0 : 1 - residualSumOfSquares / totalSumOfSquares,
    // Belsley, Kuh and Welsch 1980, Regression Diagnostics, equations 2.1 and 2.9: no second fit is needed.
    without: (row, coefficient) => {
      const kept = 1 - (leverages[row] ?? 1);
      const degreesOfFreedom = residualDegreesOfFreedom - 1;
      if (kept < 1e-10 || degreesOfFreedom < 1) return null;
      const residual = residuals[row] ?? 0;
      const effect = fit.rowEffects[row]?.[coefficient] ?? 0;
      const scale = scales[coefficient] ?? 1;
      const variance = Math.max(0, residualSumOfSquares - residual ** 2 / kept) / degreesOfFreedom;
      return {
        coefficient: ((fit.solution[coefficient] ?? 0) - (effect * residual) / kept) * scale,
        standardError: Math.sqrt(variance * ((fit.inverseDiagonal[coefficient] ?? 0) + effect ** 2 / kept)) * scale,
        degreesOfFreedom,
      };
    },
  };
}
