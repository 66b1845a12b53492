import { doubledDifference } from './exact-arithmetic.js';

/**
 * A column whose part not explained by the columns before it is smaller than this share of its length is a copy of
 * them.
 */
const RANK_TOLERANCE = 1e-14;
const MOST_REFINEMENTS = 6;
/** Refinement stops when the solution moves by no more than this share: the last digit of a double. */
const SETTLED = 1e-16;

interface LeastSquares {
  readonly solution: readonly number[];
  readonly residuals: readonly number[];
  /** Diagonal of (AᵀA)⁻¹. */
  readonly inverseDiagonal: readonly number[];
  /** Diagonal of A (AᵀA)⁻¹ Aᵀ. */
  readonly leverages: readonly number[];
  /** (AᵀA)⁻¹ times each row of A: how much each response moves each coefficient. */
  readonly rowEffects: readonly Float64Array[];
}

/** Householder's factors: the reflectors below the diagonal, R on and above it. */
class HouseholderFactors {
  readonly #reflectors: Float64Array[] = [];
  readonly #factors: number[] = [];
  readonly #upper: Float64Array[] = [];

  private constructor(
    private readonly n: number,
    private readonly p: number,
  ) {}

  /** @returns null if a column repeats others. */
  static of(columns: readonly Float64Array[], n: number): HouseholderFactors | null {
    const p = columns.length;
    const factors = new HouseholderFactors(n, p);
    const work = columns.map((column) => column.slice());
    for (const [k, column] of work.entries()) {
      let square = 0;
      for (let i = k; i < n; i += 1) square += (column[i] ?? 0) ** 2;
      const length = Math.sqrt(square);
      let whole = 0;
      for (const value of columns[k] ?? []) whole += value ** 2;
      if (length <= RANK_TOLERANCE * Math.sqrt(whole)) return null;
      const reflector = new Float64Array(n);
      for (let i = k; i < n; i += 1) reflector[i] = column[i] ?? 0;
      const pivot = column[k] ?? 0;
      const diagonal = pivot > 0 ? -length : length;
      reflector[k] = pivot - diagonal;
      factors.#reflectors.push(reflector);
      // |v|² = 2 (length² − pivot · diagonal), so that 2 / |v|² needs no second pass.
      factors.#factors.push(1 / (square - pivot * diagonal));
      for (let j = k; j < p; j += 1) {
        const target = work[j];
        if (target) factors.#reflect(target, k);
      }
      const row = new Float64Array(p);
      for (let j = k; j < p; j += 1) row[j] = work[j]?.[k] ?? 0;
      row[k] = diagonal;
      factors.#upper.push(row);
    }
    return factors;
  }

  #reflect(target: Float64Array, k: number): void {
    const reflector = this.#reflectors[k];
    if (!reflector) return;
    let along = 0;
    for (let i = k; i < this.n; i += 1) along += (reflector[i] ?? 0) * (target[i] ?? 0);
    const step = along * (this.#factors[k] ?? 0);
    for (let i = k; i < this.n; i += 1) target[i] = (target[i] ?? 0) - step * (reflector[i] ?? 0);
  }

  /** Qᵀ v in place. */
  rotate(values: Float64Array): void {
    for (let k = 0; k < this.p; k += 1) this.#reflect(values, k);
  }

  /** Q v in place. */
  rotateBack(values: Float64Array): void {
    for (let k = this.p - 1; k >= 0; k -= 1) this.#reflect(values, k);
  }

  #entry(i: number, j: number): number {
    return this.#upper[i]?.[j] ?? Number.NaN;
  }

  /** Solves R x = b. */
  solve(b: ArrayLike<number>): Float64Array {
    const x = new Float64Array(this.p);
    for (let i = this.p - 1; i >= 0; i -= 1) {
      let sum = b[i] ?? 0;
      for (let j = i + 1; j < this.p; j += 1) sum -= this.#entry(i, j) * (x[j] ?? 0);
      x[i] = sum / this.#entry(i, i);
    }
    return x;
  }

  /** Solves Rᵀ x = b. */
  solveTransposed(b: ArrayLike<number>): Float64Array {
    const x = new Float64Array(this.p);
    for (let i = 0; i < this.p; i += 1) {
      let sum = b[i] ?? 0;
      for (let j = 0; j < i; j += 1) sum -= this.#entry(j, i) * (x[j] ?? 0);
      x[i] = sum / this.#entry(i, i);
    }
    return x;
  }
}

/**
 * Least squares by Householder's QR, with solution and residuals refined together from errors computed in twice the
 * precision. Sources: Businger and Golub 1965, Numerische Mathematik 7:269-276; Björck 1967, BIT 7:257-278. `columns`
 * of about the same length give the most digits. @returns null if a column repeats others.
 */
export function leastSquares({
  columns,
  response,
}: {
  columns: readonly Float64Array[];
  response: readonly number[];
}): LeastSquares | null {
  const n = response.length;
  const p = columns.length;
  const factors = HouseholderFactors.of(columns, n);
  if (factors === null) return null;
  const rows = response.map((_, i) => {
    const row = new Float64Array(p);
    for (let j = 0; j < p; j += 1) row[j] = columns[j]?.[i] ?? 0;
    return row;
  });
  const solution = new Float64Array(p);
  const residuals = new Float64Array(n);
  for (let round = 0; round <= MOST_REFINEMENTS; round += 1) {
    const misfit = new Float64Array(n);
    rows.forEach((row, i) => {
      misfit[i] = doubledDifference(response[i] ?? 0, row, solution, residuals[i] ?? 0);
    });
    const slant = new Float64Array(p);
    columns.forEach((column, j) => {
      slant[j] = doubledDifference(0, column, residuals, 0);
    });
    factors.rotate(misfit);
    const along = factors.solveTransposed(slant);
    const target = new Float64Array(p);
    for (let j = 0; j < p; j += 1) {
      target[j] = (misfit[j] ?? 0) - (along[j] ?? 0);
      misfit[j] = along[j] ?? 0;
    }
    const step = factors.solve(target);
    factors.rotateBack(misfit);
    let moved = 0;
    for (let j = 0; j < p; j += 1) {
      const before = solution[j] ?? 0;
      solution[j] = before + (step[j] ?? 0);
      moved = Math.max(moved, Math.abs((step[j] ?? 0) / (solution[j] === 0 ? 1 : (solution[j] ?? 1))));
    }
    for (let i = 0; i < n; i += 1) residuals[i] = (residuals[i] ?? 0) + (misfit[i] ?? 0);
    // The first round finds the solution, the second already refines it; well-conditioned designs need no more.
    if (round > 0 && moved < SETTLED) break;
  }
  const inverseDiagonal = new Float64Array(p);
  for (let j = 0; j < p; j += 1) {
    const unit = new Float64Array(p);
    unit[j] = 1;
    factors.solve(unit).forEach((value, i) => {
      inverseDiagonal[i] = (inverseDiagonal[i] ?? 0) + value ** 2;
    });
  }
  const halves = rows.map((row) => factors.solveTransposed(row));
  const leverages = halves.map((half) => half.reduce((sum, value) => sum + value ** 2, 0));
  const rowEffects = halves.map((half) => factors.solve(half));
  return {
    solution: [...solution],
    residuals: [...residuals],
    inverseDiagonal: [...inverseDiagonal],
    leverages,
    rowEffects,
  };
}
