import { BASIS_DEPENDENT_FIELDS, type ForageAnalysis, type ForageAnalysisField } from './forage-analysis.js';

/** Two bases of a concentration. A value never changes basis silently: these functions are the only way. */
export const CONCENTRATION_BASES = ['as-received', 'dry-matter'] as const;
export type ConcentrationBasis = (typeof CONCENTRATION_BASES)[number];

function requireDryMatter(dryMatterPercent: number): void {
  if (!(dryMatterPercent > 0 && dryMatterPercent <= 100)) {
    throw new RangeError(`Dry matter must be above 0 and at most 100 %, was ${dryMatterPercent}`);
  }
}

/**
 * Concentration in the dry matter from one as received: value / (DM/100). Any concentration unit.
 * @throws RangeError if dry matter is not in (0, 100].
 */
export function toDryMatterBasis({
  asReceived,
  dryMatterPercent,
}: {
  asReceived: number;
  dryMatterPercent: number;
}): number {
  requireDryMatter(dryMatterPercent);
  return asReceived / (dryMatterPercent / 100);
}

/**
 * Concentration as received from one in the dry matter: value · DM/100.
 * @throws RangeError if dry matter is not in (0, 100].
 */
export function toAsReceivedBasis({
  dryMatterBasis,
  dryMatterPercent,
}: {
  dryMatterBasis: number;
  dryMatterPercent: number;
}): number {
  requireDryMatter(dryMatterPercent);
  return dryMatterBasis * (dryMatterPercent / 100);
}

/** Weight of dry matter in a weight as fed, any mass unit. @throws RangeError if dry matter is not in (0, 100]. */
export function dryMatterWeight({
  asFedWeight,
  dryMatterPercent,
}: {
  asFedWeight: number;
  dryMatterPercent: number;
}): number {
  requireDryMatter(dryMatterPercent);
  return asFedWeight * (dryMatterPercent / 100);
}

/**
 * Weight as fed that carries a weight of dry matter, any mass unit. @throws RangeError if dry matter is not in (0,
 * 100].
 */
export function asFedWeight({
  dryMatterWeight: dryWeight,
  dryMatterPercent,
}: {
  dryMatterWeight: number;
  dryMatterPercent: number;
}): number {
  requireDryMatter(dryMatterPercent);
  return dryWeight / (dryMatterPercent / 100);
}

/**
 * A whole analysis moved to the dry matter basis. Indexes (RFV, RFQ) and shares of another nutrient keep their value.
 * @throws RangeError if dry matter is not in (0, 100].
 */
export function analysisOnDryMatter({
  analysis,
  basis,
}: {
  analysis: ForageAnalysis;
  basis: ConcentrationBasis;
}): ForageAnalysis {
  requireDryMatter(analysis.dryMatterPercent);
  if (basis === 'dry-matter') return analysis;
  const moved: Partial<Record<ForageAnalysisField, number>> = {};
  for (const field of BASIS_DEPENDENT_FIELDS) {
    const value = analysis[field];
    if (value !== undefined)
      moved[field] = toDryMatterBasis({ asReceived: value, dryMatterPercent: analysis.dryMatterPercent });
  }
  return { ...analysis, ...moved };
}
