import type { UnitOf } from '../../../core/units/unit.js';

/**
 * How people write units in cells and headers. Common practice, no source. Letters count only where they must: "T" may
 * be either ton, so nobody guesses it.
 */
const UNIT_WORDS: readonly (readonly [word: RegExp, unit: string])[] = [
  [/^(?:lbs?|pounds?|#)\.?$/i, 'lb' satisfies UnitOf<'mass'>],
  [/^(?:kgs?|kilos?|kilograms?)\.?$/i, 'kg' satisfies UnitOf<'mass'>],
  [/^(?:tons?|short tons?|us tons?)\.?$/i, 'ton' satisfies UnitOf<'mass'>],
  [/^(?:t|[Tt]onnes?|[Mm]etric tons?|[Mm]t)\.?$/, 't' satisfies UnitOf<'mass'>],
  [/^(?:cwts?|hundredweights?)\.?$/i, 'cwt'],
  [/^(?:bales?|bl|bls)\.?$/i, 'bale'],
  [/^(?:head|hd)\.?$/i, 'head'],
  [/^(?:%|percent|pct)\.?$/i, '%'],
  [/^(?:°\s*F|F|deg(?:rees)?\s*F|fahrenheit)\.?$/i, 'F'],
  [/^(?:°\s*C|C|deg(?:rees)?\s*C|celsius)\.?$/i, 'C'],
  [/^(?:ft|feet|foot|')\.?$/i, 'ft'],
  [/^(?:in|inch|inches|")\.?$/i, 'in'],
  [/^(?:cm|centimet(?:er|re)s?)\.?$/i, 'cm'],
  [/^(?:m|met(?:er|re)s?)\.?$/i, 'm'],
  [/^(?:lot|all|lump sum)$/i, 'lot'],
];

/** Words that may follow a whole number and say nothing new. */
export const COUNTED_WORDS = /^(?:bales?|head|hd|cores?|days?|hours?|hrs?|h|cows?|calves|steers?|heifers?)\.?$/i;

/** A unit by the word for it; a slash or "per" before it belongs to a price. */
export function unitOfWord(word: string): string | undefined {
  const bare = word.replace(/^(?:\/|per\b|an?\b)\s*/i, '').trim();
  return UNIT_WORDS.find(([shape]) => shape.test(bare))?.[1];
}
