import { CholeskyDecomposition, EigenvalueDecomposition, Matrix } from 'ml-matrix';
import { lowestShare } from './golden-section.js';

/** What a fit says of one fixed effect, and of the two spreads. */
export interface RandomFactorFit {
  readonly coefficients: readonly number[];
  readonly standardErrors: readonly number[];
  /** Variance between groups, and what is left within them. */
  readonly betweenVariance: number;
  readonly residualVariance: number;
  /** By containment, of effects that vary within groups. */
  readonly degreesOfFreedom: number;
  readonly residuals: readonly number[];
}

/** Shares of the variance that is between groups at which the search begins: the likelihood may have two tops. */
const FIRST_SHARES = [0, 0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.98, 0.995, 0.9995];
const NO_RANK = 1e-10;
const MOST_SHARE = 1 - 1e-7;
/** A part of the squares no larger than this is what doubles leave over of nothing. */
const NOTHING = 1e-20;

/**
 * A linear mixed model with one random factor: response = fixed effects + group + rest, both normal, by restricted
 * maximum likelihood (REML). The design is prepared once, so that many responses can be fitted to it.
 *
 * Degrees of freedom are by containment: rows less the rank of fixed effects and groups together, which is exact where
 * every group has every level. Where no variance between groups is found, none is taken away from what is seen within
 * them: the residual variance is then never less than within groups, since pooling after a look at the data would raise
 * false alarms. Sources: Patterson and Thompson 1971, Biometrika 58:545-554 (REML); Pinheiro and Bates 2000, Mixed-
 * Effects Models in S and S-PLUS, 2.2 (profiling) and 2.4.2 (degrees of freedom by containment); pooling: Hines 1996,
 * The American Statistician 50:127-139 (from memory). Eigenvalues and Cholesky's factors: ml-matrix.
 */
export class OneRandomFactor {
  readonly degreesOfFreedom: number;
  readonly #columns: readonly (readonly number[])[];
  readonly #members: readonly (readonly number[])[];
  /** Sums of products of the fixed columns, and their sums over each group. */
  readonly #products: readonly (readonly number[])[];
  readonly #groupSums: readonly (readonly number[])[];
  /** Orthonormal columns that span fixed effects and groups together. */
  readonly #span: readonly (readonly number[])[];
  readonly #balanced: boolean;

  private constructor(columns: readonly (readonly number[])[], groups: readonly string[]) {
    const names = [...new Set(groups)];
    this.#columns = columns;
    this.#members = names.map((name) => groups.flatMap((group, row) => (group === name ? [row] : [])));
    this.#products = columns.map((one) => columns.map((other) => dot(one, other)));
    this.#groupSums = this.#members.map((rows) => columns.map((column) => sumOver(column, rows)));
    const dummies = names.map((name) => groups.map((group) => (group === name ? 1 : 0)));
    this.#span = orthonormal([...columns, ...dummies]);
    this.degreesOfFreedom = groups.length - this.#span.length;
    this.#balanced = this.#isBalanced();
  }

  /**
   * @returns null where no degree of freedom is left within groups, or where the column asked for (`of interest`)
   * cannot be told from the other columns and the groups.
   */
  static of({
    columns,
    groups,
    ofInterest,
  }: {
    columns: readonly (readonly number[])[];
    groups: readonly string[];
    ofInterest: number;
  }): OneRandomFactor | null {
    const model = new OneRandomFactor(columns, groups);
    if (model.degreesOfFreedom < 1) return null;
    const others = columns.filter((_, index) => index !== ofInterest);
    const without = new OneRandomFactor(others, groups);
    const repeated = orthonormal(columns).length < columns.length;
    return repeated || without.#span.length === model.#span.length ? null : model;
  }

  fit(response: readonly number[]): RandomFactorFit {
    // Around its mean the response loses fewer digits; the first column must be the constant for this to be undone.
    const middle = response.reduce((sum, value) => sum + value, 0) / response.length;
    const centered = response.map((value) => value - middle);
    const sums = {
      withColumns: this.#columns.map((column) => dot(column, centered)),
      ofGroups: this.#members.map((rows) => sumOver(centered, rows)),
      squares: dot(centered, centered),
    };
    const share = this.#balanced ? this.#shareOfBalanced(sums, centered) : this.#bestShare(sums);
    const { solved, rss, covariance } = this.#at(share / (1 - share), sums);
    const restricted = rss / (response.length - this.#columns.length);
    const pooled = share === 0 ? Math.max(restricted, this.#withinVariance(centered, sums.squares)) : restricted;
    const residualVariance = pooled <= NOTHING * sums.squares ? 0 : pooled;
    const coefficients = solved.map((value, index) => (index === 0 ? value + middle : value));
    return {
      coefficients,
      standardErrors: covariance.map((value) => Math.sqrt(value * residualVariance)),
      betweenVariance: (share / (1 - share)) * residualVariance,
      residualVariance,
      degreesOfFreedom: this.degreesOfFreedom,
      residuals: response.map(
        (value, row) =>
          value -
          this.#columns.reduce((sum, column, index) => sum + (column[row] ?? 0) * (coefficients[index] ?? 0), 0),
      ),
    };
  }

  /** Standard error of a fixed effect for a residual deviation of one, where the ratio of variances is known. */
  errorPerSd(effect: number, ratio: number): number {
    const nothing = { withColumns: this.#columns.map(() => 0), ofGroups: this.#members.map(() => 0), squares: 0 };
    return Math.sqrt(this.#at(ratio, nothing).covariance[effect] ?? Number.NaN);
  }

  /** Are all groups alike in all fixed columns? Then nothing but the constant is learned from between groups. */
  #isBalanced(): boolean {
    const [first = [], ...rest] = this.#groupSums;
    return rest.every((sums) => sums.every((sum, column) => Math.abs(sum - (first[column] ?? 0)) < 1e-12));
  }

  /**
   * With groups alike the restricted likelihood has its top where the analysis of variance puts it, or at none: Searle,
   * Casella and McCulloch 1992, Variance Components, 3.8 (from memory).
   */
  #shareOfBalanced({ ofGroups, squares }: ResponseSums, centered: readonly number[]): number {
    const size = this.#members[0]?.length ?? 1;
    const between = ofGroups.reduce((sum, value) => sum + value ** 2, 0) / size / (ofGroups.length - 1);
    const within = this.#withinVariance(centered, squares);
    const ratio = (between / within - 1) / size;
    if (!(ratio > 0)) return 0;
    // Where nothing varies within groups the ratio has no end.
    return Number.isFinite(ratio) ? Math.min(ratio / (1 + ratio), MOST_SHARE) : MOST_SHARE;
  }

  /** Share of the variance between groups at which the restricted likelihood is highest. */
  #bestShare(sums: ResponseSums): number {
    return lowestShare(FIRST_SHARES, MOST_SHARE, (share) => this.#at(share / (1 - share), sums).badness);
  }

  /** Generalized least squares with the variance between groups at `ratio` times that within. */
  #at(ratio: number, { withColumns, ofGroups, squares }: ResponseSums) {
    const weights = this.#members.map((rows) => ratio / (1 + rows.length * ratio));
    const less = (start: number, pick: (group: number) => number) =>
      weights.reduce((sum, weight, group) => sum - weight * pick(group), start);
    const of = (group: number, column: number) => this.#groupSums[group]?.[column] ?? 0;
    const products = this.#products.map((row, i) =>
      row.map((value, j) => less(value, (group) => of(group, i) * of(group, j))),
    );
    const target = withColumns.map((value, i) => less(value, (group) => of(group, i) * (ofGroups[group] ?? 0)));
    const factors = new CholeskyDecomposition(new Matrix(products));
    const solved = factors.solve(Matrix.columnVector(target)).to1DArray();
    const rss = Math.max(less(squares, (group) => (ofGroups[group] ?? 0) ** 2) - dot(solved, target), 0);
    const lower = factors.lowerTriangularMatrix;
    const logOfProducts = 2 * target.reduce((sum, _, i) => sum + Math.log(lower.get(i, i)), 0);
    const logOfGroups = this.#members.reduce((sum, rows) => sum + Math.log1p(rows.length * ratio), 0);
    const left = this.#members.reduce((sum, rows) => sum + rows.length, 0) - withColumns.length;
    return {
      solved,
      rss,
      badness: left * Math.log(rss) + logOfProducts + logOfGroups,
      get covariance() {
        return factors.solve(Matrix.eye(target.length)).diagonal();
      },
    };
  }

  /** Variance within groups, with the groups taken as they are. */
  #withinVariance(centered: readonly number[], squares: number): number {
    const explained = this.#span.reduce((sum, column) => sum + dot(column, centered) ** 2, 0);
    return Math.max(squares - explained, 0) / this.degreesOfFreedom;
  }
}

interface ResponseSums {
  readonly withColumns: readonly number[];
  readonly ofGroups: readonly number[];
  readonly squares: number;
}

function dot(one: readonly number[], other: readonly number[]): number {
  return one.reduce((sum, value, index) => sum + value * (other[index] ?? 0), 0);
}

function sumOver(column: readonly number[], rows: readonly number[]): number {
  return rows.reduce((sum, row) => sum + (column[row] ?? 0), 0);
}

/** Orthonormal columns that span what these do: eigenvectors of their crossproduct whose value is not zero. */
function orthonormal(columns: readonly (readonly number[])[]): number[][] {
  const inner = columns.map((one) => columns.map((other) => dot(one, other)));
  const { realEigenvalues, eigenvectorMatrix } = new EigenvalueDecomposition(new Matrix(inner), {
    assumeSymmetric: true,
  });
  const largest = Math.max(...realEigenvalues);
  return realEigenvalues.flatMap((value, index) => {
    if (value <= NO_RANK * largest) return [];
    const mix = eigenvectorMatrix.getColumn(index);
    const rows = columns[0]?.length ?? 0;
    return [
      Array.from(
        { length: rows },
        (_, row) => mix.reduce((sum, part, column) => sum + part * (columns[column]?.[row] ?? 0), 0) / Math.sqrt(value),
      ),
    ];
  });
}
