import type { ForageAnalysis } from './forage-analysis.js';
import type { Caution } from '../outcome/caution.js';

/**
 * Total digestible nutrients from acid detergent fiber alone, % of DM: 82.38 − 0.7515·ADF.
 * Made for California alfalfa; one bermudagrass bale read 63 % by it and 49 % by the summative equation.
 * Source: University of California (Bath & Marble 1989), the equation behind the TDN column of the USDA-AMS hay quality
 * designations (rounded form 82.4 − 0.75·ADF confirmed, last digits from memory).
 */
export function california1989TdnFromAdf({ acidDetergentFiberPercent }: { acidDetergentFiberPercent: number }): {
  totalDigestibleNutrientsPercent: number;
} {
  return { totalDigestibleNutrientsPercent: 82.38 - 0.7515 * acidDetergentFiberPercent };
}

interface SummativeParts {
  readonly totalDigestibleNutrientsPercent: number;
  readonly digestibleProteinPercent: number;
  readonly digestibleFatPercent: number;
  readonly digestibleFiberPercent: number;
  readonly digestibleNonFiberCarbohydratePercent: number;
  readonly metabolicFecalPercent: number;
}

interface SummativeInputs {
  readonly crudeProteinPercent: number;
  readonly fattyAcidPercent: number;
  readonly neutralDetergentFiberPercent: number;
  /** % of NDF digested in 48 h. */
  readonly fiberDigestibility48hPercentOfNdf: number;
  readonly nonFiberCarbohydratePercent: number;
}

function summed(parts: Omit<SummativeParts, 'totalDigestibleNutrientsPercent'>): SummativeParts {
  return {
    ...parts,
    totalDigestibleNutrientsPercent:
      parts.digestibleProteinPercent +
      parts.digestibleFatPercent +
      parts.digestibleFiberPercent +
      parts.digestibleNonFiberCarbohydratePercent -
      parts.metabolicFecalPercent,
  };
}

/**
 * TDN of legumes, % of DM: 0.93·CP + 2.25·0.97·FA + NDFn·NDFD/100 + 0.98·NFC − 7, NDFn = 0.93·NDF.
 * Source: Moore & Undersander 2002; University of Georgia forage glossary (NRC 2001 based summative equations).
 */
export function mooreUndersander2002LegumeTdn(inputs: SummativeInputs): SummativeParts {
  return summed({
    digestibleProteinPercent: 0.93 * inputs.crudeProteinPercent,
    digestibleFatPercent: 2.25 * 0.97 * inputs.fattyAcidPercent,
    digestibleFiberPercent:
      (0.93 * inputs.neutralDetergentFiberPercent * inputs.fiberDigestibility48hPercentOfNdf) / 100,
    digestibleNonFiberCarbohydratePercent: 0.98 * inputs.nonFiberCarbohydratePercent,
    metabolicFecalPercent: 7,
  });
}

/**
 * TDN of grasses, % of DM: 0.87·CP + 2.25·0.97·FA + NDFn·NDFDp/100 + 0.98·NFC − 10, NDFDp = 22.7 + 0.664·NDFD,
 * NDFn = 0.93·NDF. Source: Moore & Undersander 2002; University of Georgia forage glossary.
 */
export function mooreUndersander2002GrassTdn(inputs: SummativeInputs): SummativeParts {
  return summed({
    digestibleProteinPercent: 0.87 * inputs.crudeProteinPercent,
    digestibleFatPercent: 2.25 * 0.97 * inputs.fattyAcidPercent,
    digestibleFiberPercent:
      (0.93 * inputs.neutralDetergentFiberPercent * (22.7 + 0.664 * inputs.fiberDigestibility48hPercentOfNdf)) / 100,
    digestibleNonFiberCarbohydratePercent: 0.98 * inputs.nonFiberCarbohydratePercent,
    metabolicFecalPercent: 10,
  });
}

/**
 * TDN from lignin, % of DM: truly digestible CP (CP·e^(−1.2·ADICP/CP)), fat (2.25·FA), NFC (0.98·NFC) and
 * NDF (0.75·(NDFn − L)·(1 − (L/NDFn)^0.667)), less 7.
 * Source: Weiss, Conrad & St. Pierre 1992, Anim. Feed Sci. Technol. 39:95-110; NRC 2001 dairy, chapter 2 (from memory).
 * @throws RangeError if lignin is not below NDF.
 */
export function weiss1992TdnFromLignin({
  crudeProteinPercent,
  fattyAcidPercent,
  neutralDetergentFiberPercent,
  ligninPercent,
  nonFiberCarbohydratePercent,
  acidDetergentInsolubleProteinPercent = 0,
}: {
  crudeProteinPercent: number;
  fattyAcidPercent: number;
  neutralDetergentFiberPercent: number;
  ligninPercent: number;
  nonFiberCarbohydratePercent: number;
  acidDetergentInsolubleProteinPercent?: number;
}): SummativeParts {
  const proteinFreeFiber = 0.93 * neutralDetergentFiberPercent;
  if (!(ligninPercent >= 0 && ligninPercent < proteinFreeFiber)) throw new RangeError('Lignin must be below NDF');
  return summed({
    digestibleProteinPercent:
      crudeProteinPercent > 0
        ? crudeProteinPercent * Math.exp((-1.2 * acidDetergentInsolubleProteinPercent) / crudeProteinPercent)
        : 0,
    digestibleFatPercent: 2.25 * fattyAcidPercent,
    digestibleFiberPercent:
      0.75 * (proteinFreeFiber - ligninPercent) * (1 - (ligninPercent / proteinFreeFiber) ** 0.667),
    digestibleNonFiberCarbohydratePercent: 0.98 * nonFiberCarbohydratePercent,
    metabolicFecalPercent: 7,
  });
}

export const FORAGE_FAMILIES = ['legume', 'grass', 'mixed', 'cereal', 'straw'] as const;
export type ForageFamily = (typeof FORAGE_FAMILIES)[number];

export const TDN_METHODS = ['as-reported', 'summative-legume', 'summative-grass', 'lignin', 'adf-only'] as const;
export type TdnMethod = (typeof TDN_METHODS)[number];

export interface TdnEstimate {
  readonly totalDigestibleNutrientsPercent: number;
  readonly method: TdnMethod;
  readonly source: string;
  /** Inputs that were assumed because the test lacks them, for example fat of 2.5 %. */
  readonly assumptions: readonly string[];
  readonly cautions: readonly Caution[];
}

/**
 * Fatty acids are the ether extract less about one point of waxes and pigments. Source: NRC 2001 dairy (from memory).
 */
function fattyAcids(fatPercent: number): number {
  return Math.max(0, fatPercent - 1);
}

function nonFiberCarbohydrate(analysis: ForageAnalysis, assumptions: string[]): number | undefined {
  if (analysis.nonFiberCarbohydratePercent !== undefined) return analysis.nonFiberCarbohydratePercent;
  const { crudeProteinPercent, neutralDetergentFiberPercent, ashPercent } = analysis;
  if (crudeProteinPercent === undefined || neutralDetergentFiberPercent === undefined || ashPercent === undefined)
    return undefined;
  assumptions.push('non-fiber carbohydrate by difference: 100 − (0.93·NDF + CP + fat + ash)');
  return Math.max(
    0,
    100 - (0.93 * neutralDetergentFiberPercent + crudeProteinPercent + (analysis.fatPercent ?? 2.5) + ashPercent),
  );
}

/**
 * TDN of a forage by the best equation its analysis (dry matter basis) allows: the lab's own figure, else summative
 * with fiber digestibility, else from lignin, else ADF alone. `undefined` if none of them can be used.
 */
export function estimateTdn({
  analysis,
  family,
}: {
  analysis: ForageAnalysis;
  family: ForageFamily;
}): TdnEstimate | undefined {
  return asReported(analysis) ?? bySum(analysis, family) ?? byAcidDetergentFiber(analysis, family);
}

function asReported({ totalDigestibleNutrientsPercent }: ForageAnalysis): TdnEstimate | undefined {
  if (totalDigestibleNutrientsPercent === undefined) return undefined;
  return {
    totalDigestibleNutrientsPercent,
    method: 'as-reported',
    source: 'the laboratory report',
    assumptions: [],
    cautions: [],
  };
}

/** Summative: with the fiber digestibility if it was measured, else from lignin. */
function bySum(analysis: ForageAnalysis, family: ForageFamily): TdnEstimate | undefined {
  const assumptions: string[] = [];
  if (analysis.fatPercent === undefined)
    assumptions.push('fat of 2.5 % of dry matter (NRC 2000 typical of hays, from memory)');
  const fattyAcidPercent = fattyAcids(analysis.fatPercent ?? 2.5);
  const nonFiberCarbohydratePercent = nonFiberCarbohydrate(analysis, assumptions);
  const { crudeProteinPercent, neutralDetergentFiberPercent, fiberDigestibility48hPercentOfNdf, ligninPercent } =
    analysis;
  if (
    crudeProteinPercent === undefined ||
    neutralDetergentFiberPercent === undefined ||
    nonFiberCarbohydratePercent === undefined
  )
    return undefined;
  const common = { crudeProteinPercent, neutralDetergentFiberPercent, nonFiberCarbohydratePercent, fattyAcidPercent };
  if (fiberDigestibility48hPercentOfNdf !== undefined) {
    const legume = family === 'legume' || family === 'mixed';
    const inputs = { ...common, fiberDigestibility48hPercentOfNdf };
    const result = legume ? mooreUndersander2002LegumeTdn(inputs) : mooreUndersander2002GrassTdn(inputs);
    return {
      totalDigestibleNutrientsPercent: result.totalDigestibleNutrientsPercent,
      method: legume ? 'summative-legume' : 'summative-grass',
      source: 'Moore & Undersander 2002',
      assumptions,
      cautions: [],
    };
  }
  if (ligninPercent === undefined || !(ligninPercent >= 0 && ligninPercent < 0.93 * neutralDetergentFiberPercent))
    return undefined;
  return {
    totalDigestibleNutrientsPercent: weiss1992TdnFromLignin({ ...common, ligninPercent })
      .totalDigestibleNutrientsPercent,
    method: 'lignin',
    source: 'Weiss, Conrad & St. Pierre 1992; NRC 2001',
    assumptions,
    cautions: [],
  };
}

function byAcidDetergentFiber(
  { acidDetergentFiberPercent }: ForageAnalysis,
  family: ForageFamily,
): TdnEstimate | undefined {
  if (acidDetergentFiberPercent === undefined) return undefined;
  const { totalDigestibleNutrientsPercent } = california1989TdnFromAdf({ acidDetergentFiberPercent });
  return {
    totalDigestibleNutrientsPercent,
    method: 'adf-only',
    source: 'University of California (Bath & Marble 1989)',
    assumptions: [],
    cautions:
      family === 'legume' ? [] : [madeForAlfalfa({ totalDigestibleNutrientsPercent, acidDetergentFiberPercent })],
  };
}

function madeForAlfalfa({
  totalDigestibleNutrientsPercent,
  acidDetergentFiberPercent,
}: {
  totalDigestibleNutrientsPercent: number;
  acidDetergentFiberPercent: number;
}): Caution {
  return {
    code: 'tdn-from-adf-only',
    message: 'TDN from ADF alone was made for alfalfa; on grass hay it can read far too high.',
    given: totalDigestibleNutrientsPercent,
    threshold: acidDetergentFiberPercent,
    unit: '% of DM',
    source: 'University of Georgia (Baxter, in Rankin): one bermudagrass bale, 49 % summative against 63 % from ADF',
    advice: 'Ask the laboratory for a summative TDN (with fiber digestibility) before relying on it.',
  };
}
