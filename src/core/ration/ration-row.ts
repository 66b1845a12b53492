import type { UnitOfReader, Words } from '../units/wording.js';
import type { LayerRole } from '../laying/layer.js';
import type { RationField, RationLot } from './ration.js';

/** A lot that may be fed in a role: on hand, or a quote on offer. */
export interface Candidate {
  readonly lot: RationLot;
  readonly role: LayerRole;
  /** Needed for share bands by volume, kg as fed per m3. */
  readonly bulkDensityKgPerM3?: number;
  /** Of the lot, for the whole feeding period, kg as fed; `null` where as much as wanted can be bought. */
  readonly availableKg: number | null;
  /** Mean weight of a bale, kg as fed; `null` or absent where it is not baled or nobody knows. */
  readonly baleWeightKg?: number | null;
  /** Fed in just this amount, kg as fed a head a day: mineral, salt, a cube by the pound. */
  readonly fixedKg?: number;
  /** Laid in at least this much, kg as fed a head a day, or not at all; in any amount if absent. */
  readonly leastKg?: number;
  /** Whether it is laid, where that is settled. */
  readonly settled?: 'laid' | 'not-laid';
}

/** A row in the trade's words: what one more unit of it is of, and what is asked. */
export interface RowWords {
  readonly of: Words;
  readonly words: Words;
}

export interface RationRow extends RowWords {
  readonly key: string;
  readonly unit: string | UnitOfReader;
  readonly lower: number | null;
  readonly upper: number | null;
  /** Per kg as fed of each candidate, in the order of the candidates; then per gram of bacterial protein. */
  readonly perKg: readonly number[];
  readonly perBacterialProteinG: number;
}

/** What the candidates bring, in their order. */
export interface Matrix {
  readonly candidates: readonly Candidate[];
  /** Dry matter eaten of a kilogram as fed. */
  readonly eaten: readonly number[];
  /** Content of that dry matter, times a factor to the unit of the row. */
  readonly content: (field: RationField, factor: number) => number[];
}

export function row(
  key: string,
  words: RowWords,
  unit: RationRow['unit'],
  { lower, upper }: { readonly lower?: number; readonly upper?: number },
  perKg: readonly number[],
  perBacterialProteinG = 0,
): RationRow {
  return { key, ...words, unit, lower: lower ?? null, upper: upper ?? null, perKg, perBacterialProteinG };
}

/** Rows that hold the arithmetic together and that nobody asked for. */
export const nobodyAsked = (key: string): boolean => key.startsWith('bacteria-') || key.startsWith(ENERGY_BAND);

/** The name of a row that nobody asked for: it only holds the mixture where its need and its intake were worked out. */
export const ENERGY_BAND = 'diet-energy';

/**
 * A row that is easier by a share of what every lot brings to it. What is asked in just one amount stays that amount,
 * and what nobody asked for stays as it is.
 */
export function eased(asked: RationRow, share: number): RationRow {
  const { key, lower, upper, perKg } = asked;
  if (share === 0 || nobodyAsked(key) || (lower !== null && upper !== null)) return asked;
  const sign = lower === null ? -1 : 1;
  return { ...asked, perKg: perKg.map((value) => value + sign * share * Math.abs(value)) };
}
