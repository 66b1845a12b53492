import { figureIn, type UnitOfReader } from '../units/wording.js';
import type { UnitSystem } from '../units/unit.js';
import type { NutrientRow } from './nutrient-row.js';
import { NUTRIENTS } from './nutrients.data.js';
import type { Nutrient } from './nutrients.js';

/** Protein, given in grams: in US units it goes by the pound like the hay that holds it. */
export const PROTEIN_UNIT: UnitOfReader = { metric: 'g', us: 'lb' };

/**
 * A day's amount of a nutrient, given in the unit of its row, as readers of a system are told it: in US units protein
 * goes by the pound like the hay that holds it; minerals stay in grams and traces in milligrams in both.
 */
export function amountShown(
  system: UnitSystem,
  nutrient: Nutrient,
  value: number,
): { readonly value: number; readonly unit: string } {
  const { group, need }: NutrientRow = NUTRIENTS[nutrient];
  const unit = need?.unit ?? '';
  const byThePound = system === 'us' && group === 'protein' && unit === 'g/d';
  return figureIn(system, byThePound ? { value: value / 1000, unit: 'kg/d' } : { value, unit });
}
