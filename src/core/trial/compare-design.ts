import type { ArmsCompared, LeftOut, ResidualReport } from './compare-arms.js';
import { analyzeDesign, type DesignAnswer, type DesignRow } from './design-analysis.js';

/** What a design with periods or blocks was judged by. */
export interface DesignCompared {
  readonly rows: readonly DesignRow[];
  readonly arms: { readonly usualId: string; readonly changeId: string };
  readonly answer: DesignAnswer;
}

/** Change less usual by the mixed model of the design; null where the rows cannot tell the feedings apart. */
export function compareDesign(
  rows: readonly DesignRow[],
  arms: DesignCompared['arms'],
  confidence: number,
): ArmsCompared | null {
  const answer = analyzeDesign(rows, arms, confidence);
  if (answer === null) return null;
  const designed = { rows, arms, answer };
  return { primary: answer.difference, fallback: null, welch: null, pooled: null, covariance: null, designed };
}

/** The answer again without each pen in turn; pens without which there is no answer are skipped. */
export function leavePensOut({ rows, arms, answer }: DesignCompared, confidence: number): LeftOut[] {
  return [...new Set(rows.map((row) => row.penId))].flatMap((penId) => {
    const without = analyzeDesign(
      rows.filter((row) => row.penId !== penId),
      arms,
      confidence,
    );
    if (without === null) return [];
    const { difference, low, high, standardError } = without.difference;
    return [
      {
        unitId: penId,
        differenceKgPerDay: difference,
        lowKgPerDay: low,
        highKgPerDay: high,
        shiftInStandardErrors: standardError > 0 ? (answer.difference.difference - difference) / standardError : null,
      },
    ];
  });
}

/**
 * What is left of each pen in each period once feeding, period and its own (or its block's) level are taken out. There
 * are as many of these as rows but they move together, so that tests of their scatter would not hold: none is given.
 */
export function residualsOfDesign({ rows, answer: { residuals } }: DesignCompared): ResidualReport {
  const within = rows.map((row, index) => {
    const own = rows.flatMap((other, at) => (other.group === row.group ? [residuals[at] ?? 0] : []));
    return (residuals[index] ?? 0) - own.reduce((sum, value) => sum + value, 0) / own.length;
  });
  const periods = new Set(rows.map((row) => row.period)).size;
  return {
    normality: null,
    equalVariance: null,
    influence: rows.map((row, index) => ({
      unitId: periods > 1 ? `${row.penId}, period ${row.period}` : row.penId,
      residualKgPerDay: within[index] ?? 0,
      cooksDistance: null,
    })),
  };
}
