/** Everything a hay test may report, all of it on the dry matter basis except the dry matter itself. */
export interface ForageAnalysis {
  readonly dryMatterPercent: number;
  readonly crudeProteinPercent?: number;
  /** Degradable share of the crude protein, % of CP. */
  readonly degradableProteinPercentOfCrudeProtein?: number;
  readonly acidDetergentFiberPercent?: number;
  /** Neutral detergent fibre (NDF, or aNDF with amylase). */
  readonly neutralDetergentFiberPercent?: number;
  /** aNDFom: NDF with amylase and sulfite, less ash. */
  readonly ashFreeNeutralDetergentFiberPercent?: number;
  readonly ligninPercent?: number;
  /** Digestibility of the NDF after 48 h in vitro, % of NDF. */
  readonly fiberDigestibility48hPercentOfNdf?: number;
  readonly nonFiberCarbohydratePercent?: number;
  readonly fatPercent?: number;
  readonly ashPercent?: number;
  readonly totalDigestibleNutrientsPercent?: number;
  readonly netEnergyMaintenanceMcalPerKg?: number;
  readonly netEnergyGainMcalPerKg?: number;
  readonly calciumPercent?: number;
  readonly phosphorusPercent?: number;
  readonly magnesiumPercent?: number;
  readonly potassiumPercent?: number;
  readonly sulfurPercent?: number;
  readonly sodiumPercent?: number;
  /** Nitrate as nitrate nitrogen (NO3-N), mg per kg of dry matter. */
  readonly nitrateNitrogenPpm?: number;
  readonly relativeFeedValue?: number;
  readonly relativeForageQuality?: number;
}

export type ForageAnalysisField = keyof ForageAnalysis;

/**
 * Fields whose number depends on the basis: they scale with dry matter. Indexes and shares of another nutrient do not.
 */
export const BASIS_DEPENDENT_FIELDS = [
  'crudeProteinPercent',
  'acidDetergentFiberPercent',
  'neutralDetergentFiberPercent',
  'ashFreeNeutralDetergentFiberPercent',
  'ligninPercent',
  'nonFiberCarbohydratePercent',
  'fatPercent',
  'ashPercent',
  'totalDigestibleNutrientsPercent',
  'netEnergyMaintenanceMcalPerKg',
  'netEnergyGainMcalPerKg',
  'calciumPercent',
  'phosphorusPercent',
  'magnesiumPercent',
  'potassiumPercent',
  'sulfurPercent',
  'sodiumPercent',
  'nitrateNitrogenPpm',
] as const satisfies readonly ForageAnalysisField[];
