import { compensatedSum, describe } from './descriptive.js';
import { doubledDot } from './exact-arithmetic.js';
import { refuse, trialProblem, type TrialRefusal } from './problem.js';

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
}

/** A column whose part not explained by the columns before it is smaller than this share of its length is a copy of them. */
const RANK_TOLERANCE = 1e-14;
const REFINEMENTS = 4;

/**
 * Least squares by Householder's QR on columns scaled to length one, refined with residuals in twice the precision.
 * Sources: Businger and Golub 1965, Numerische Mathematik 7:269-276 (QR); Björck 1967, BIT 7:257-278 (refinement of both
 * solution and residual).
 * `design` is one row per observation; put a column of ones in it for an intercept and say so: R² is about the mean then, about zero otherwise.
 * @returns a refusal with code `trial.model-not-estimable` if columns repeat each other or rows are too few.
 * @throws RangeError if rows and responses differ in number.
 */
export function linearRegression({ design, response, hasIntercept }: { design: readonly (readonly number[])[]; response: readonly number[]; hasIntercept: boolean }): LinearFit | TrialRefusal {
  const n = design.length;
  const p = design[0]?.length ?? 0;
  if (response.length !== n || design.some((row) => row.length !== p)) throw new RangeError('The design has another number of rows or columns than the response');
  const notEstimable = (given: string) =>
    refuse(trialProblem('trial.model-not-estimable', 'design', given, 'more rows than columns, no column that repeats others', 'The model cannot be estimated from these records.'));
  if (p === 0 || n < p) return notEstimable(`${n} rows, ${p} columns`);

  const column = (j: number) => design.map((row) => row[j] ?? 0);
  const scales = Array.from({ length: p }, (_, j) => Math.sqrt(compensatedSum(column(j).map((value) => value * value))));
  if (scales.some((scale) => scale === 0)) return notEstimable('a column of zeros');
  // Powers of two scale without rounding.
  const scaled = scales.map((scale, j) => {
    const by = 2 ** -Math.round(Math.log2(scale));
    return { by, values: column(j).map((value) => value * by) };
  });
  const columns = scaled.map((one) => one.values);
  const rows = Array.from({ length: n }, (_, i) => columns.map((values) => values[i] ?? 0));

  const work = columns.map((values) => [...values]);
  const reflectors: { readonly vector: readonly number[]; readonly factor: number }[] = [];
  const upper: number[][] = Array.from({ length: p }, () => new Array<number>(p).fill(0));
  const reflect = (target: number[], k: number, vector: readonly number[], factor: number) => {
    const step = factor * doubledDot(0, vector.slice(k), target.slice(k));
    for (let i = k; i < n; i += 1) target[i] = (target[i] ?? 0) - step * (vector[i] ?? 0);
  };
  for (let k = 0; k < p; k += 1) {
    const current = work[k] ?? [];
    const length = Math.sqrt(compensatedSum(current.slice(k).map((value) => value * value)));
    if (length <= RANK_TOLERANCE * Math.sqrt(compensatedSum((columns[k] ?? []).map((value) => value * value)))) return notEstimable(`column ${k + 1} repeats others`);
    const pivot = current[k] ?? 0;
    const alpha = pivot > 0 ? -length : length;
    const vector = current.map((value, i) => (i < k ? 0 : i === k ? value - alpha : value));
    const factor = 2 / compensatedSum(vector.map((value) => value * value));
    for (let j = k; j < p; j += 1) {
      const target = work[j];
      const upperRow = upper[k];
      if (target === undefined || upperRow === undefined) continue;
      reflect(target, k, vector, factor);
      upperRow[j] = target[k] ?? 0;
    }
    reflectors.push({ vector, factor });
  }

  const rotate = (values: readonly number[], backwards: boolean): number[] => {
    const result = [...values];
    const order = reflectors.map((one, k) => ({ ...one, k }));
    for (const { vector, factor, k } of backwards ? order.reverse() : order) reflect(result, k, vector, factor);
    return result;
  };
  /** Solves R x = b. */
  const solveUpper = (b: readonly number[]): number[] => {
    const x = new Array<number>(p).fill(0);
    for (let i = p - 1; i >= 0; i -= 1) {
      let sum = b[i] ?? 0;
      for (let j = i + 1; j < p; j += 1) sum -= (upper[i]?.[j] ?? 0) * (x[j] ?? 0);
      x[i] = sum / (upper[i]?.[i] ?? Number.NaN);
    }
    return x;
  };
  /** Solves Rᵀ x = b. */
  const solveLower = (b: readonly number[]): number[] => {
    const x = new Array<number>(p).fill(0);
    for (let i = 0; i < p; i += 1) {
      let sum = b[i] ?? 0;
      for (let j = 0; j < i; j += 1) sum -= (upper[j]?.[i] ?? 0) * (x[j] ?? 0);
      x[i] = sum / (upper[i]?.[i] ?? Number.NaN);
    }
    return x;
  };

  let solution = new Array<number>(p).fill(0);
  let residuals = new Array<number>(n).fill(0);
  for (let round = 0; round <= REFINEMENTS; round += 1) {
    const misfit = rows.map((row, i) => doubledDot(response[i] ?? 0, [...row.map((value) => -value), 1], [...solution, -(residuals[i] ?? 0)]));
    const slant = columns.map((values) => -doubledDot(0, values, residuals));
    const rotated = rotate(misfit, false);
    const lower = solveLower(slant);
    const step = solveUpper(rotated.slice(0, p).map((value, j) => value - (lower[j] ?? 0)));
    const residualStep = rotate([...lower, ...rotated.slice(p)], true);
    solution = solution.map((value, j) => value + (step[j] ?? 0));
    residuals = residuals.map((value, i) => value + (residualStep[i] ?? 0));
  }

  const residualDegreesOfFreedom = n - p;
  const residualSumOfSquares = compensatedSum(residuals.map((value) => value * value));
  const residualVariance = residualDegreesOfFreedom > 0 ? residualSumOfSquares / residualDegreesOfFreedom : Number.NaN;
  const inverseColumns = Array.from({ length: p }, (_, j) => solveUpper(Array.from({ length: p }, (_unused, i) => (i === j ? 1 : 0))));
  const standardErrors = scaled.map(({ by }, i) => {
    const unscaled = compensatedSum(inverseColumns.map((values) => (values[i] ?? 0) ** 2));
    return Math.sqrt(residualVariance * unscaled) * by;
  });
  const totalSumOfSquares = hasIntercept ? describe(response).sumOfSquares : compensatedSum(response.map((value) => value * value));
  return {
    ok: true,
    coefficients: solution.map((value, j) => value * (scaled[j]?.by ?? 1)),
    standardErrors,
    residuals,
    fitted: response.map((value, i) => value - (residuals[i] ?? 0)),
    leverages: rows.map((row) => compensatedSum(solveLower(row).map((value) => value * value))),
    residualSumOfSquares,
    residualDegreesOfFreedom,
    residualSd: Math.sqrt(residualVariance),
    rSquared: totalSumOfSquares === 0 ? 0 : 1 - residualSumOfSquares / totalSumOfSquares,
  };
}
