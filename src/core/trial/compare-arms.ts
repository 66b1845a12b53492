import {
  adjustedDifferencesLeftOut,
  analysisOfCovariance,
  type CovarianceAnalysis,
  type CovarianceRow,
} from './analysis-of-covariance.js';
import type { UnitValue } from './analysis-sets.js';
import { describe } from './descriptive.js';
import type { DesignCompared } from './compare-design.js';
import {
  brownForsythe,
  cooksDistances,
  shapiroFrancia,
  type EqualVarianceCheck,
  type NormalityCheck,
} from './residual-checks.js';
import { pooledDifference, welchDifference, type Difference } from './two-sample.js';

export type TrialMethod = 'analysis-of-covariance' | 'welch';

export interface ArmsCompared {
  readonly primary: Difference;
  /** Why the method asked for could not be used; null if it was. */
  readonly fallback: string | null;
  /** Null in a design with periods or blocks, whose pens are not apart from each other. */
  readonly welch: Difference | null;
  readonly pooled: Difference | null;
  readonly covariance: CovarianceAnalysis | null;
  /** Null but in a design with periods or blocks. */
  readonly designed: DesignCompared | null;
}

export function covarianceRows(units: readonly UnitValue[]): CovarianceRow[] {
  return units.map((unit) => ({ covariate: unit.startWeightKg, response: unit.gainKgPerDay }));
}

function welchOf(usual: readonly UnitValue[], change: readonly UnitValue[], confidence: number): Difference {
  return welchDifference({
    first: describe(usual.map((unit) => unit.gainKgPerDay)),
    second: describe(change.map((unit) => unit.gainKgPerDay)),
    confidence,
  });
}

/** Two arms, and the further arms of the trial that tell of the same spread and slope. */
interface ArmsOfTrial {
  readonly usual: readonly UnitValue[];
  readonly change: readonly UnitValue[];
  readonly others?: readonly (readonly UnitValue[])[];
}

/** All arms that have units, the two that are compared first. */
const armsOf = ({ usual, change, others = [] }: ArmsOfTrial) => [
  usual,
  change,
  ...others.filter((units) => units.length > 0),
];

/**
 * Change minus usual by every method, the one asked for first. The analysis of covariance is of all arms together, as
 * Dunnett's comparisons need it; Welch and the pooled difference are of the two. Null when either has fewer than two
 * units.
 */
export function compareArms({
  method,
  confidence,
  ...arms
}: ArmsOfTrial & {
  method: TrialMethod;
  confidence: number;
}): ArmsCompared | null {
  const { usual, change } = arms;
  if (usual.length < 2 || change.length < 2) return null;
  const first = describe(usual.map((unit) => unit.gainKgPerDay));
  const second = describe(change.map((unit) => unit.gainKgPerDay));
  const welch = welchOf(usual, change, confidence);
  const pooled = pooledDifference({ first, second, confidence });
  const tried = analysisOfCovariance({ arms: armsOf(arms).map(covarianceRows), confidence });
  const covariance = tried.ok ? tried : null;
  const adjusted = covariance?.differences[0];
  if (method === 'analysis-of-covariance' && adjusted)
    return { primary: adjusted, fallback: null, welch, pooled, covariance, designed: null };
  return {
    primary: welch,
    fallback:
      method === 'welch'
        ? null
        : 'The analysis of covariance could not be estimated from these weights; Welch’s interval is used instead.',
    welch,
    pooled,
    covariance,
    designed: null,
  };
}

export interface LeftOut {
  readonly unitId: string;
  readonly differenceKgPerDay: number;
  readonly lowKgPerDay: number;
  readonly highKgPerDay: number;
  /** How far the answer moves, in standard errors of the answer without the unit. */
  readonly shiftInStandardErrors: number | null;
}

/**
 * The primary answer again with each unit left out in turn, without fitting again for each. Units whose arm would be
 * left with one are skipped. Source of the scaled shift: Belsley, Kuh and Welsch 1980, Regression Diagnostics, chapter
 * 2 (DFBETAS, with the standard error of the fit without the unit).
 */
export function leaveOneOut({
  compared,
  confidence,
  ...arms
}: ArmsOfTrial & {
  compared: ArmsCompared;
  confidence: number;
}): LeftOut[] {
  const { usual, change } = arms;
  const adjusted =
    compared.primary.method === 'analysis-of-covariance'
      ? adjustedDifferencesLeftOut({ arms: armsOf(arms).map(covarianceRows), confidence })
      : null;
  const without = (units: readonly UnitValue[], out: UnitValue) => units.filter((unit) => unit !== out);
  return [...usual, ...change].flatMap((out, index) => {
    const [one, other] = [without(usual, out), without(change, out)];
    if (one.length < 2 || other.length < 2) return [];
    const { difference, low, high, standardError } = adjusted?.[index] ?? welchOf(one, other, confidence);
    return [
      {
        unitId: out.id,
        differenceKgPerDay: difference,
        lowKgPerDay: low,
        highKgPerDay: high,
        shiftInStandardErrors: standardError > 0 ? (compared.primary.difference - difference) / standardError : null,
      },
    ];
  });
}

export interface ResidualReport {
  readonly normality: NormalityCheck | null;
  readonly equalVariance: EqualVarianceCheck | null;
  readonly influence: readonly {
    readonly unitId: string;
    readonly residualKgPerDay: number;
    readonly cooksDistance: number | null;
  }[];
}

/** Residual checks of the primary method: of the covariance model, or of the arm means under Welch. */
export function residualReport({ compared, ...given }: ArmsOfTrial & { compared: ArmsCompared }): ResidualReport {
  const model = compared.primary.method === 'analysis-of-covariance' ? compared.covariance : null;
  const arms = model === null ? [given.usual, given.change] : armsOf(given);
  const units = arms.flat();
  const residuals =
    model?.residuals ??
    arms.flatMap((arm) => {
      const mean = describe(arm.map((unit) => unit.gainKgPerDay)).mean;
      return arm.map((unit) => unit.gainKgPerDay - mean);
    });
  const leverages = model?.leverages ?? arms.flatMap((arm) => arm.map(() => 1 / arm.length));
  const parameters = model?.parameters ?? 2;
  const residualSd = Math.sqrt(
    residuals.reduce((sum, residual) => sum + residual ** 2, 0) / Math.max(1, units.length - parameters),
  );
  const distances = cooksDistances({ residuals, leverages, parameters, residualSd });
  return {
    normality: shapiroFrancia(residuals),
    equalVariance: brownForsythe(residualsByArm(residuals, arms)),
    influence: units.map((unit, index) => ({
      unitId: unit.id,
      residualKgPerDay: residuals[index] ?? 0,
      cooksDistance: distances[index] ?? null,
    })),
  };
}

function residualsByArm(residuals: readonly number[], arms: readonly (readonly UnitValue[])[]): number[][] {
  let from = 0;
  return arms.map((arm) => residuals.slice(from, (from += arm.length)));
}
