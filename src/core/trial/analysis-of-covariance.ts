import { compensatedSum, describe } from './descriptive.js';
import { fUpperTail } from './distributions.js';
import { linearRegression } from './linear-regression.js';
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
  /** Is one slope enough for all arms? Null when an arm has too few rows to have a slope of its own. */
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
 * The adjusted difference of two arms with each row left out in turn, by one fit; first arm's rows first. Null if it
 * cannot be estimated.
 */
export function adjustedDifferencesLeftOut({
  first,
  second,
  confidence,
}: {
  first: readonly CovarianceRow[];
  second: readonly CovarianceRow[];
  confidence: number;
}): (Difference | null)[] | null {
  const rows = [...first.map((row) => ({ ...row, second: 0 })), ...second.map((row) => ({ ...row, second: 1 }))];
  if (first.length === 0 || second.length === 0 || rows.length < 5) return null;
  const covariateMean = describe(rows.map((row) => row.covariate)).mean;
  const fit = linearRegression({
    design: rows.map((row) => [1, row.second, row.covariate - covariateMean]),
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
  const response = rows.map((row) => row.response);
  const others = arms.slice(1).map((_, index) => index + 1);
  const indicators = (row: { arm: number }) => others.map((arm) => (row.arm === arm ? 1 : 0));
  // The covariate is taken about its mean, so that the intercept is the adjusted mean of the first arm.
  const centred = (row: { covariate: number }) => row.covariate - covariateMean;
  const design = rows.map((row) => [1, ...indicators(row), centred(row)]);
  const fit = linearRegression({ design, response, hasIntercept: true });
  if (!fit.ok) return fit;
  const withoutArms = linearRegression({ design: rows.map((row) => [1, centred(row)]), response, hasIntercept: true });
  if (!withoutArms.ok) return withoutArms;
  const ownSlopes = linearRegression({
    design: rows.map((row) => [
      1,
      ...indicators(row),
      centred(row),
      ...indicators(row).map((one) => one * centred(row)),
    ]),
    response,
    hasIntercept: true,
  });

  const within = fit.residualDegreesOfFreedom;
  const meanSquare = fit.residualSumOfSquares / within;
  const ratio = (sumOfSquares: number, between: number, errorMeanSquare: number, errorFreedom: number) => {
    const f = errorMeanSquare === 0 ? (sumOfSquares === 0 ? 0 : Infinity) : sumOfSquares / between / errorMeanSquare;
    return { f, p: fUpperTail({ f, between, within: errorFreedom }) };
  };
  const slope = fit.coefficients[arms.length] ?? Number.NaN;
  const slopeStandardError = fit.standardErrors[arms.length] ?? Number.NaN;
  const armSum = Math.max(0, withoutArms.residualSumOfSquares - fit.residualSumOfSquares);
  const slopeFreedom = rows.length - 2 * arms.length;
  const intercept = fit.coefficients[0] ?? Number.NaN;
  return {
    ok: true,
    slope,
    slopeStandardError,
    covariateMean,
    adjustedMeans: arms.map((_, arm) =>
      arm === 0 ? intercept : compensatedSum([intercept, fit.coefficients[arm] ?? Number.NaN]),
    ),
    differences: others.map((arm) =>
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
      ...ratio(armSum, arms.length - 1, meanSquare, within),
    },
    covariateTest: ratio((slope / slopeStandardError) ** 2 * meanSquare, 1, meanSquare, within),
    equalSlopes:
      ownSlopes.ok && slopeFreedom > 0
        ? {
            between: arms.length - 1,
            within: slopeFreedom,
            residualSumOfSquares: ownSlopes.residualSumOfSquares,
            ...ratio(
              Math.max(0, fit.residualSumOfSquares - ownSlopes.residualSumOfSquares),
              arms.length - 1,
              ownSlopes.residualSumOfSquares / slopeFreedom,
              slopeFreedom,
            ),
          }
        : null,
    residualSd: fit.residualSd,
    residualSumOfSquares: fit.residualSumOfSquares,
    residualDegreesOfFreedom: within,
    residuals: fit.residuals,
    leverages: fit.leverages,
    parameters: arms.length + 1,
  };
}
