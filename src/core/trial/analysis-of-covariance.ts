import { compensatedSum, describe } from './descriptive.js';
import { fUpperTail } from './distributions.js';
import { type LinearFit, linearRegression } from './linear-regression.js';
import { type Refusal, refused } from '../outcome/outcome.js';
import { problem } from '../outcome/problem.js';
import { differenceWithInterval, type Difference } from './two-sample.js';

export interface CovarianceRow {
  readonly covariate: number;
  readonly response: number;
}

export interface CovarianceAnalysis {
  readonly ok: true;
  /** Common slope of the response on the covariate. */
  readonly slope: number;
  readonly slopeStandardError: number;
  /** Mean of each arm at the covariate mean of all rows. */
  readonly adjustedMeans: readonly number[];
  readonly covariateMean: number;
  /** Each further arm minus the first, at equal covariate. */
  readonly differences: readonly Difference[];
  /** Do the arms differ once the covariate is allowed for? */
  readonly armTest: {
    readonly sumOfSquares: number;
    readonly f: number;
    readonly between: number;
    readonly within: number;
    readonly p: number;
  };
  readonly covariateTest: { readonly f: number; readonly p: number };
  /** Is one slope enough for all arms? Null when an arm has too few rows for its own slope. */
  readonly equalSlopes: {
    readonly f: number;
    readonly between: number;
    readonly within: number;
    readonly p: number;
    readonly residualSumOfSquares: number;
  } | null;
  readonly residualSd: number;
  readonly residualSumOfSquares: number;
  readonly residualDegreesOfFreedom: number;
  /** In the order of the arms and rows given. */
  readonly residuals: readonly number[];
  readonly leverages: readonly number[];
  readonly parameters: number;
}

/**
 * The adjusted difference of the second arm from the first with each row of any arm left out in turn, by one fit; rows
 * in the order of the arms. Null if it cannot be estimated.
 */
export function adjustedDifferencesLeftOut({
  arms,
  confidence,
}: {
  arms: readonly (readonly CovarianceRow[])[];
  confidence: number;
}): (Difference | null)[] | null {
  const rows = arms.flatMap((arm, index) => arm.map((row) => ({ ...row, arm: index })));
  if (arms.some((arm) => arm.length === 0) || rows.length < arms.length + 3) return null;
  const columns = columnsOf(arms.length, describe(rows.map((row) => row.covariate)).mean);
  const fit = linearRegression({
    design: rows.map(columns.oneSlope),
    response: rows.map((row) => row.response),
    hasIntercept: true,
  });
  if (!fit.ok) return null;
  return rows.map((_, index) => {
    const left = fit.without(index, 1);
    return (
      left &&
      differenceWithInterval({
        method: 'analysis-of-covariance',
        difference: left.coefficient,
        standardError: left.standardError,
        degreesOfFreedom: left.degreesOfFreedom,
        confidence,
      })
    );
  });
}

/** A row with the number of its arm, counted from 0. */
type ArmRow = CovarianceRow & { readonly arm: number };

/** Columns of the linear models: an indicator for each further arm, and the covariate about its mean. */
function columnsOf(arms: number, covariateMean: number) {
  const others = Array.from({ length: arms - 1 }, (_, index) => index + 1);
  // The covariate is taken about its mean, so that the intercept is the adjusted mean of the first arm.
  const centered = (row: ArmRow) => row.covariate - covariateMean;
  const indicators = (row: ArmRow) => others.map((arm) => (row.arm === arm ? 1 : 0));
  return {
    others,
    withoutArms: (row: ArmRow) => [1, centered(row)],
    oneSlope: (row: ArmRow) => [1, ...indicators(row), centered(row)],
    ownSlopes: (row: ArmRow) => [
      1,
      ...indicators(row),
      centered(row),
      ...indicators(row).map((one) => one * centered(row)),
    ],
  };
}

interface FTest {
  readonly f: number;
  readonly p: number;
}

/** F test of a sum of squares on `between` degrees of freedom against an error mean square on `within`. */
function fTest(sumOfSquares: number, between: number, errorMeanSquare: number, within: number): FTest {
  const f = errorMeanSquare === 0 ? (sumOfSquares === 0 ? 0 : Infinity) : sumOfSquares / between / errorMeanSquare;
  return { f, p: fUpperTail({ f, between, within }) };
}

/** Do separate slopes fit better than one slope? Null when the arms leave no degrees of freedom for separate slopes. */
function equalSlopesTest({
  arms,
  rows,
  oneSlopeSum,
  ownSlopes,
}: {
  arms: number;
  rows: number;
  oneSlopeSum: number;
  ownSlopes: LinearFit | Refusal;
}): CovarianceAnalysis['equalSlopes'] {
  const within = rows - 2 * arms;
  if (!ownSlopes.ok || within <= 0) return null;
  const { residualSumOfSquares } = ownSlopes;
  const gained = Math.max(0, oneSlopeSum - residualSumOfSquares);
  return {
    between: arms - 1,
    within,
    residualSumOfSquares,
    ...fTest(gained, arms - 1, residualSumOfSquares / within, within),
  };
}

/**
 * Analysis of covariance with one covariate and a common slope; differences from the first arm.
 * Source: Snedecor and Cochran 1989, Statistical Methods, 8th ed., chapter 18; fitted as a linear model by QR.
 * @returns a refusal with code `trial.model-not-estimable` if an arm is empty, the covariate does not vary, or rows are
 * too few.
 */
export function analysisOfCovariance({
  arms,
  confidence,
}: {
  arms: readonly (readonly CovarianceRow[])[];
  confidence: number;
}): CovarianceAnalysis | Refusal {
  const rows = arms.flatMap((arm, index) => arm.map((row) => ({ ...row, arm: index })));
  if (arms.length < 2 || arms.some((arm) => arm.length === 0) || rows.length < arms.length + 2) {
    return refused(
      problem(
        'trial.model-not-estimable',
        'arms',
        `${arms.length} arms, ${rows.length} rows`,
        'two arms or more, none empty, two rows more than arms',
        'There are too few animals for an analysis of covariance.',
      ),
    );
  }
  const covariateMean = describe(rows.map((row) => row.covariate)).mean;
  const columns = columnsOf(arms.length, covariateMean);
  const fitted = (design: (row: ArmRow) => number[]) =>
    linearRegression({ design: rows.map(design), response: rows.map((row) => row.response), hasIntercept: true });
  const fit = fitted(columns.oneSlope);
  if (!fit.ok) return fit;
  const withoutArms = fitted(columns.withoutArms);
  if (!withoutArms.ok) return withoutArms;
  const ownSlopes = fitted(columns.ownSlopes);

  const within = fit.residualDegreesOfFreedom;
  const meanSquare = fit.residualSumOfSquares / within;
  const slope = fit.coefficients[arms.length] ?? Number.NaN;
  const slopeStandardError = fit.standardErrors[arms.length] ?? Number.NaN;
  const armSum = Math.max(0, withoutArms.residualSumOfSquares - fit.residualSumOfSquares);
  return {
    ok: true,
    slope,
    slopeStandardError,
    covariateMean,
    adjustedMeans: adjustedMeansOf(fit, arms.length),
    differences: columns.others.map((arm) =>
      differenceWithInterval({
        method: 'analysis-of-covariance',
        difference: fit.coefficients[arm] ?? Number.NaN,
        standardError: fit.standardErrors[arm] ?? Number.NaN,
        degreesOfFreedom: within,
        confidence,
      }),
    ),
    armTest: {
      sumOfSquares: armSum,
      between: arms.length - 1,
      within,
      ...fTest(armSum, arms.length - 1, meanSquare, within),
    },
    covariateTest: fTest((slope / slopeStandardError) ** 2 * meanSquare, 1, meanSquare, within),
    equalSlopes: equalSlopesTest({
      arms: arms.length,
      rows: rows.length,
      oneSlopeSum: fit.residualSumOfSquares,
      ownSlopes,
    }),
    residualSd: fit.residualSd,
    residualSumOfSquares: fit.residualSumOfSquares,
    residualDegreesOfFreedom: within,
    residuals: fit.residuals,
    leverages: fit.leverages,
    parameters: arms.length + 1,
  };
}

/** Mean of each arm at the mean of the covariate: the intercept, and the intercept plus each further coefficient. */
function adjustedMeansOf({ coefficients }: LinearFit, arms: number): number[] {
  const intercept = coefficients[0] ?? Number.NaN;
  return Array.from({ length: arms }, (_, arm) =>
    arm === 0 ? intercept : compensatedSum([intercept, coefficients[arm] ?? Number.NaN]),
  );
}
