import { type Outcome, refused, succeeded } from '../outcome/outcome.js';
import type { Problem } from '../outcome/problem.js';
import type { LayerBasis } from './layer.js';

/** A value and whether it was measured on the lot or taken from a book. */
export interface StatedValue {
  readonly value: number;
  readonly origin: 'measured' | 'book-value';
  readonly source: string;
}

export interface ShareToConvert {
  readonly name: string;
  /** 0 to 1 on the stated basis. */
  readonly share: number;
  /** As laid, kg as fed per cubic meter. */
  readonly bulkDensityKgPerM3: StatedValue;
  /** % of the weight as fed. */
  readonly dryMatterPercent: StatedValue;
}

export interface ConvertedShare {
  readonly name: string;
  readonly volumeShare: number;
  readonly asFedShare: number;
  readonly dryMatterShare: number;
  readonly bulkDensityKgPerM3: StatedValue;
  readonly dryMatterPercent: StatedValue;
}

export interface ConvertedShares {
  readonly from: LayerBasis;
  readonly layers: readonly ConvertedShare[];
  /** True if a density or a dry matter is a book value. */
  readonly restsOnBookValues: boolean;
}

/** Shares typed as whole percentages may miss 100 by rounding; further off is a mistake. */
const SHARE_SUM_TOLERANCE = 0.005;

/**
 * Layer shares on one basis, converted to all three: weight = volume × density, dry matter = weight × DM. The
 * densities and dry matters used are in the answer. Every set of shares adds up to 1; a set that misses 1 by rounding
 * is scaled.
 */
export function convertShares({
  basis,
  layers,
}: {
  readonly basis: LayerBasis;
  readonly layers: readonly ShareToConvert[];
}): Outcome<ConvertedShares> {
  const problems = problemsOf(layers);
  if (problems.length > 0) return refused(problems);
  const density = layers.map((layer) => layer.bulkDensityKgPerM3.value);
  const dryMatter = layers.map((layer) => layer.dryMatterPercent.value / 100);
  const given = layers.map((layer) => layer.share);
  // Everything is converted through weight as fed.
  const asFed = given.map((share, index) => {
    if (basis === 'volume') return share * (density[index] ?? 0);
    return basis === 'as-fed' ? share : share / (dryMatter[index] ?? 1);
  });
  const volumeShares = shares(asFed.map((weight, index) => weight / (density[index] ?? 1)));
  const asFedShares = shares(asFed);
  const dryMatterShares = shares(asFed.map((weight, index) => weight * (dryMatter[index] ?? 0)));
  return succeeded({
    from: basis,
    layers: layers.map((layer, index) => ({
      name: layer.name,
      volumeShare: volumeShares[index] ?? 0,
      asFedShare: asFedShares[index] ?? 0,
      dryMatterShare: dryMatterShares[index] ?? 0,
      bulkDensityKgPerM3: layer.bulkDensityKgPerM3,
      dryMatterPercent: layer.dryMatterPercent,
    })),
    restsOnBookValues: layers.some(
      (layer) => layer.bulkDensityKgPerM3.origin === 'book-value' || layer.dryMatterPercent.origin === 'book-value',
    ),
  });
}

/** The share on the basis asked for. */
export function shareOn({ layer, basis }: { readonly layer: ConvertedShare; readonly basis: LayerBasis }): number {
  switch (basis) {
    case 'volume':
      return layer.volumeShare;
    case 'as-fed':
      return layer.asFedShare;
    case 'dry-matter':
      return layer.dryMatterShare;
  }
}

function shares(amounts: readonly number[]): number[] {
  const total = amounts.reduce((sum, amount) => sum + amount, 0);
  return amounts.map((amount) => amount / total);
}

function problemsOf(layers: readonly ShareToConvert[]): Problem[] {
  if (layers.length === 0) {
    return [
      {
        code: 'no-layers',
        field: 'layers',
        given: null,
        allowed: 'at least one layer',
        message: 'There is no layer to share out.',
      },
    ];
  }
  const problems: Problem[] = [];
  layers.forEach((layer, index) => {
    const check = (field: string, given: number, fits: boolean, allowed: string) => {
      if (!fits)
        problems.push({
          code: `${field}-out-of-range`,
          field: `layers[${index}].${field}`,
          given,
          allowed,
          message: `${layer.name}: ${field} ${given} is not ${allowed}.`,
        });
    };
    check('share', layer.share, layer.share >= 0 && layer.share <= 1, 'between 0 and 1');
    check(
      'bulkDensityKgPerM3',
      layer.bulkDensityKgPerM3.value,
      layer.bulkDensityKgPerM3.value > 0 && Number.isFinite(layer.bulkDensityKgPerM3.value),
      'above 0 kg/m3',
    );
    check(
      'dryMatterPercent',
      layer.dryMatterPercent.value,
      layer.dryMatterPercent.value > 0 && layer.dryMatterPercent.value <= 100,
      'above 0 and at most 100 %',
    );
  });
  const sum = layers.reduce((total, layer) => total + layer.share, 0);
  if (!(Math.abs(sum - 1) <= SHARE_SUM_TOLERANCE)) {
    const percent = `${Number((sum * 100).toFixed(2))} %`;
    problems.push({
      code: 'shares-do-not-add-up',
      field: 'layers',
      given: percent,
      allowed: 'shares that add up to 100 %',
      message: `The shares add up to ${percent}, not to 100 %.`,
    });
  }
  return problems;
}
