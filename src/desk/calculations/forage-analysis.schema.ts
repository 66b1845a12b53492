import { z } from 'zod';
import { CONCENTRATION_BASES } from '../../core/forage/basis.js';
import type { ForageAnalysis, ForageAnalysisField } from '../../core/forage/forage-analysis.js';
import { FORAGE_FAMILIES } from '../../core/forage/tdn-estimate.js';
import { present } from './quantities.js';

const MOST_PERCENT = 100;
const inPercent = (what: string) => z.number().min(0).max(MOST_PERCENT).optional().describe(`${what}, %`);
const inMcal = (what: string) => z.number().min(-2).max(5).optional().describe(`${what}, Mcal per kg of dry matter`);
const index = (what: string) => z.number().min(0).max(1000).optional().describe(what);

/** What a lab reports, in the equations' own units; only dry matter must be known. */
const FIELDS = {
  crudeProteinPercent: inPercent('Crude protein'),
  degradableProteinPercentOfCrudeProtein: inPercent('Rumen-degradable share of the crude protein'),
  acidDetergentFiberPercent: inPercent('ADF'),
  neutralDetergentFiberPercent: inPercent('NDF (aNDF)'),
  ashFreeNeutralDetergentFiberPercent: inPercent('aNDFom'),
  ligninPercent: inPercent('Lignin'),
  fiberDigestibility48hPercentOfNdf: inPercent('NDF digestibility in 48 hours, of the NDF'),
  nonFiberCarbohydratePercent: inPercent('NFC'),
  fatPercent: inPercent('Fat'),
  ashPercent: inPercent('Ash'),
  totalDigestibleNutrientsPercent: inPercent('TDN'),
  netEnergyMaintenanceMcalPerKg: inMcal('NEm'),
  netEnergyGainMcalPerKg: inMcal('NEg'),
  calciumPercent: inPercent('Calcium'),
  phosphorusPercent: inPercent('Phosphorus'),
  magnesiumPercent: inPercent('Magnesium'),
  potassiumPercent: inPercent('Potassium'),
  sulfurPercent: inPercent('Sulfur'),
  sodiumPercent: inPercent('Sodium'),
  nitrateNitrogenPpm: z.number().min(0).max(200_000).optional().describe('Nitrate as nitrogen (NO3-N), ppm'),
  relativeFeedValue: index('RFV as printed'),
  relativeForageQuality: index('RFQ as printed'),
} satisfies Record<Exclude<ForageAnalysisField, 'dryMatterPercent'>, z.ZodType>;

export const analysisIn = z
  .strictObject({ dryMatterPercent: z.number().describe('Dry matter, % of the weight as received'), ...FIELDS })
  .meta({
    id: 'ForageAnalysisInput',
    description: 'Concentrations on the basis named; shares of another nutrient and indexes have no basis',
  });
/** The same where the basis is dry matter and dry matter itself does not enter. */
export const analysisOnDryMatterIn = z
  .strictObject(FIELDS)
  .meta({ id: 'DryMatterAnalysisInput', description: 'Concentrations in the dry matter' });
export const basisIn = z.enum(CONCENTRATION_BASES).describe('Basis of the concentrations');
export const familyIn = z.enum(FORAGE_FAMILIES).describe('Kind of forage');

export const toAnalysis = (given: z.output<typeof analysisIn>): ForageAnalysis => present(given);
/** Stands in for a dry matter that does not enter; within the likely range, so that it raises no warning. */
const DRY_MATTER_THAT_DOES_NOT_ENTER = 90;
export const toAnalysisOnDryMatter = (given: z.output<typeof analysisOnDryMatterIn>): ForageAnalysis => ({
  dryMatterPercent: DRY_MATTER_THAT_DOES_NOT_ENTER,
  ...present(given),
});

export const concentrationsOut = z
  .record(z.string(), z.number())
  .describe('Concentrations in the dry matter by the names of the input');
export const writeAnalysis = (analysis: ForageAnalysis): Record<string, number> => ({ ...analysis });
