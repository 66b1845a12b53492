import type { ForageAnalysis } from './forage-analysis.js';
import { rohweder1978RelativeFeedValue } from './forage-index.js';
import {
  ALFALFA_GRADE_ROWS,
  type AlfalfaGrade,
  type AlfalfaGradeRow,
  GRADE_SOURCE,
  GRASS_GRADE_ROWS,
  type GrassGrade,
} from './hay-grades.data.js';

type GradeCriterion =
  | 'relative-feed-value'
  | 'acid-detergent-fiber'
  | 'neutral-detergent-fiber'
  | 'total-digestible-nutrients'
  | 'crude-protein';

interface GradeFinding<Grade extends string> {
  readonly criterion: GradeCriterion;
  readonly value: number;
  readonly grade: Grade;
}

interface HayGrade<Grade extends string> {
  readonly grade: Grade;
  /** The criterion that decided: relative feed value, else ADF, else the next one available. */
  readonly decidedBy: GradeCriterion;
  /** What each measured value alone would say; market guides say the figures are approximate. */
  readonly findings: readonly GradeFinding<Grade>[];
  readonly findingsAgree: boolean;
  readonly source: string;
}

function alfalfaGradeBy(criterion: GradeCriterion, value: number): AlfalfaGrade {
  const holds = (row: AlfalfaGradeRow): boolean => {
    const atMost = (edge: number) => (row.strict ? value < edge : value <= edge);
    const atLeast = (edge: number) => (row.strict ? value > edge : value >= edge);
    switch (criterion) {
      case 'relative-feed-value':
        return atLeast(row.relativeFeedValueAtLeast);
      case 'acid-detergent-fiber':
        return atMost(row.acidDetergentFiberAtMost);
      case 'neutral-detergent-fiber':
        return atMost(row.neutralDetergentFiberAtMost);
      case 'total-digestible-nutrients':
        return atLeast(row.totalDigestibleNutrientsAtLeast);
      case 'crude-protein':
        return atLeast(row.crudeProteinAtLeast);
    }
  };
  return ALFALFA_GRADE_ROWS.find(holds)?.grade ?? 'Utility';
}

function decided<Grade extends string>(findings: readonly GradeFinding<Grade>[]): HayGrade<Grade> | undefined {
  const first = findings[0];
  if (first === undefined) return undefined;
  return {
    grade: first.grade,
    decidedBy: first.criterion,
    findings,
    findingsAgree: findings.every((finding) => finding.grade === first.grade),
    source: GRADE_SOURCE,
  };
}

/**
 * Market grade of alfalfa hay (at most 10 % grass) from its analysis on dry matter. `undefined` if nothing usable was
 * measured. Source: USDA-AMS hay quality designations, see `hay-grades.data.ts`.
 */
export function usdaAlfalfaGrade(analysis: ForageAnalysis): HayGrade<AlfalfaGrade> | undefined {
  const { acidDetergentFiberPercent: adf, neutralDetergentFiberPercent: ndf } = analysis;
  const rfv =
    adf !== undefined && ndf !== undefined
      ? rohweder1978RelativeFeedValue({ acidDetergentFiberPercent: adf, neutralDetergentFiberPercent: ndf })
          .relativeFeedValue
      : analysis.relativeFeedValue;
  const values: readonly (readonly [GradeCriterion, number | undefined])[] = [
    ['relative-feed-value', rfv],
    ['acid-detergent-fiber', adf],
    ['neutral-detergent-fiber', ndf],
    ['total-digestible-nutrients', analysis.totalDigestibleNutrientsPercent],
    ['crude-protein', analysis.crudeProteinPercent],
  ];
  return decided(
    values.flatMap(([criterion, value]) =>
      value === undefined ? [] : [{ criterion, value, grade: alfalfaGradeBy(criterion, value) }],
    ),
  );
}

/**
 * Market grade of grass hay from its crude protein, % of DM. `undefined` if it was not measured. Source: USDA-AMS hay
 * quality designations.
 */
export function usdaGrassGrade(analysis: ForageAnalysis): HayGrade<GrassGrade> | undefined {
  const value = analysis.crudeProteinPercent;
  if (value === undefined) return undefined;
  const grade =
    GRASS_GRADE_ROWS.find((row) => (row.strict ? value > row.crudeProteinAtLeast : value >= row.crudeProteinAtLeast))
      ?.grade ?? 'Low';
  return decided([{ criterion: 'crude-protein', value, grade }]);
}
