import { type AnalysisField, LAB_NUTRIENTS, labReport } from '../nutrients/nutrients.js';

/**
 * Everything a hay test may report, all of it on the dry matter basis except the dry matter itself. Fields, units and
 * limits: the rows of the nutrient table that a laboratory reports.
 */
export interface ForageAnalysis extends Readonly<Partial<Record<Exclude<AnalysisField, 'dryMatterPercent'>, number>>> {
  readonly dryMatterPercent: number;
}

export type ForageAnalysisField = AnalysisField;

/**
 * Fields whose number depends on the basis: they scale with dry matter. Indexes and shares of another nutrient do not.
 */
export const BASIS_DEPENDENT_FIELDS: readonly ForageAnalysisField[] = LAB_NUTRIENTS.map(labReport)
  .filter(({ scalesWithDryMatter }) => scalesWithDryMatter)
  .map(({ field }) => field);
