import type { NeedOfDryMatter } from '../nutrients/nutrient-row.js';
import { NUTRIENTS } from '../nutrients/nutrients.data.js';
import { type TraceNutrient, VITAMINS } from '../nutrients/nutrients.js';
import { plain, plainAtLeast, raiseCaution, type RaisedCaution } from './caution.js';

/** The highest tolerable share of the dry matter, by the stricter of the guides; `null` where none is known. */
export function highestTolerable({ maximum, stricterMaximum }: NeedOfDryMatter): number | null {
  return maximum === null ? null : Math.min(maximum, stricterMaximum?.maximum ?? maximum);
}

/**
 * Trace minerals and vitamins of which the ration holds, or by its labels may hold, more than cattle tolerate.
 * Content in mg or IU per kg of dry matter; what no feed reports counts as zero. Limits and sources: the nutrient
 * table.
 */
export function traceCautions(
  contents: readonly {
    readonly code: TraceNutrient;
    readonly perKg: number;
    readonly restsOnBookValue: boolean;
    /** What the whole ration holds at least, where a feed does not tell it. */
    readonly wordsOfAtLeast?: (told: (perKg: number) => string) => string;
  }[],
): RaisedCaution[] {
  return contents.flatMap(({ code, perKg, restsOnBookValue, wordsOfAtLeast }) => {
    const { name } = NUTRIENTS[code];
    const needed: NeedOfDryMatter = NUTRIENTS[code].ofDryMatter;
    const highest = highestTolerable(needed);
    if (highest === null || perKg <= highest) return [];
    const isVitamin = VITAMINS.includes(code);
    return [
      raiseCaution({
        code: 'trace-mineral-above-maximum',
        severity: 'danger',
        given: perKg,
        threshold: {
          value: highest,
          unit: needed.unit,
          raisedWhen: 'above',
          source: isVitamin
            ? 'nrcVitaminTolerance'
            : needed.stricterMaximum === undefined
              ? 'arkansasMinerals'
              : 'merckTraceMaxima',
        },
        restsOnBookValue,
        message:
          `${name} comes to ${plain(perKg, 2)} ${needed.unit}; cattle tolerate ${plain(highest, 2)}.` +
          (wordsOfAtLeast?.((atLeast) => `${plainAtLeast(atLeast, 2)} ${needed.unit}`) ?? ''),
      }),
    ];
  });
}
