import { z } from 'zod';
import { CONCENTRATION_BASES } from '../../core/forage/basis.js';
import type { ForageAnalysis, ForageAnalysisField } from '../../core/forage/forage-analysis.js';
import type { AnalysisUnit } from '../../core/nutrients/nutrient-row.js';
import { NUTRIENTS } from '../../core/nutrients/nutrients.data.js';
import { LAB_NUTRIENTS, type LabNutrient, labReport } from '../../core/nutrients/nutrients.js';
import { FORAGE_FAMILIES } from '../../core/forage/tdn-estimate.js';
import { present } from './quantities.js';

/** For each unit, the allowed range and the suffix of the field's name. */
const TOLD: Readonly<Record<AnalysisUnit, { from: number; to: number; words: string }>> = {
  '%': { from: 0, to: 100, words: ', %' },
  '% of DM': { from: 0, to: 100, words: ', %' },
  '% of CP': { from: 0, to: 100, words: ', %' },
  '% of NDF': { from: 0, to: 100, words: ', of the NDF, %' },
  'Mcal/kg of DM': { from: -2, to: 5, words: ', Mcal per kg of dry matter' },
  'mg NO3-N/kg of DM': { from: 0, to: 200_000, words: ' as nitrogen (NO3-N), ppm' },
  'mg/kg of DM': { from: 0, to: 1_000_000, words: ', ppm' },
  'IU/kg of DM': { from: 0, to: 1_000_000_000, words: ', IU per kg of dry matter' },
  index: { from: 0, to: 1000, words: '' },
};
/** Where the name alone would be unclear. */
const NAMES: Partial<Record<LabNutrient, string>> = { fiberDigestibility48h: 'NDF digestibility in 48 hours' };
type Logged = Exclude<ForageAnalysisField, 'dryMatterPercent'>;

/** What a lab reports, in the equations' own units; only dry matter must be known. */
const FIELDS = Object.fromEntries(
  LAB_NUTRIENTS.filter((code) => code !== 'dryMatter').map((code) => {
    const { field, unit } = labReport(code);
    const { from, to, words } = TOLD[unit];
    return [
      field,
      z
        .number()
        .min(from)
        .max(to)
        .optional()
        .describe(`From the lab: ${NAMES[code] ?? NUTRIENTS[code].name}${words}`),
    ];
  }),
) as Record<Logged, z.ZodOptional<z.ZodNumber>>;

export const analysisIn = z
  .strictObject({ dryMatterPercent: z.number().describe('Dry matter, % of the weight as received'), ...FIELDS })
  .meta({
    id: 'ForageAnalysisInput',
    description: 'Concentrations on the basis named; shares of another nutrient and indexes do not depend on it',
  });
/** The same where the basis is dry matter and dry matter itself is not needed. */
export const analysisOnDryMatterIn = z
  .strictObject(FIELDS)
  .meta({ id: 'DryMatterAnalysisInput', description: 'Concentrations in the dry matter' });
export const basisIn = z.enum(CONCENTRATION_BASES).describe('Basis on which the concentrations are given');
export const familyIn = z.enum(FORAGE_FAMILIES).describe('Kind of forage, which decides the equation');

export const toAnalysis = (given: z.output<typeof analysisIn>): ForageAnalysis => present(given);
/** Placeholder for a dry matter that is not needed; within the likely range, so that it raises no warning. */
const DRY_MATTER_THAT_DOES_NOT_ENTER = 90;
export const toAnalysisOnDryMatter = (given: z.output<typeof analysisOnDryMatterIn>): ForageAnalysis => ({
  dryMatterPercent: DRY_MATTER_THAT_DOES_NOT_ENTER,
  ...present(given),
});

export const concentrationsOut = z
  .record(z.string(), z.number())
  .describe('Concentrations in the dry matter, under the names of the request');
export const analysisAnswer = (analysis: ForageAnalysis): Record<string, number> => ({ ...analysis });
