import type { z } from 'zod';
import { spelledNutrient } from '../../core/nutrients/nutrients.js';
import type { nutrientLineOut } from '../../desk/judge/judgement.schema.js';
import type { Block } from '../document/document.js';
import { grouped, left, right } from './words.js';

export type NutrientLine = z.output<typeof nutrientLineOut>;

/** An amount per head per day, with as many places as say something. */
export function figure(value: number | null, unit: string): string {
  if (value === null) return 'not known';
  const size = Math.abs(value);
  // A few pounds of protein tell nothing in tenths.
  return `${grouped(value, size < 10 && unit === 'lb/d' ? 2 : size < 100 ? 1 : 0)} ${unit}`;
}

/** Nothing is needed of some: fiber only has to fit in, and minerals that are there anyway. */
function verdictWords({ nutrient, verdict }: Pick<NutrientLine, 'nutrient' | 'verdict'>): string {
  if (verdict !== 'no-need') return verdict;
  return nutrient === 'fiberCapacity' ? 'they can hold it' : 'none needed';
}

/** Supply against need, a row for each nutrient. */
export function linesTable(lines: readonly NutrientLine[]): Block {
  return {
    kind: 'table',
    columns: [left('Nutrient', 1.6), right('Fed'), right('Needed'), right('At most'), left('Verdict')],
    rows: lines.map((line) => [
      spelledNutrient(line.nutrient),
      figure(line.supply, line.unit),
      line.verdict === 'no-need' ? '' : figure(line.need, line.unit),
      line.atMost === null ? '' : figure(line.atMost, line.unit),
      `${verdictWords(line)}${line.restsOnBookValues ? ', on book values' : ''}`,
    ]),
  };
}
