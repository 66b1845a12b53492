/**
 * Words that go with a number, so that no sentence says "1 lots" or "a animal". English now; what counts as one is the
 * rule of the Unicode CLDR, as Intl has it.
 */
const PLURALS = new Intl.PluralRules('en');

/** "1 bale", "3 bales"; `many` where the plural is not the word with an s, or the verb goes with it. */
export function counted(count: number, one: string, many?: string): string {
  return `${count} ${noun(count, one, many)}`;
}

/** The word alone, for a figure that is written another way: "1,200" and "days". */
export function noun(count: number, one: string, many = `${one}s`): string {
  return PLURALS.select(count) === 'one' ? one : many;
}

/** "a cow", "an animal", by the sound that the word begins with. */
export function withArticle(word: string): string {
  const vowel = /^(?:[aeio]|u(?!ni|se)|hour|honest)/i.test(word);
  return `${vowel ? 'an' : 'a'} ${word}`;
}

/** What is counted in the unit of a figure, by its plural: "days since sampling", "frozen sources". */
const COUNTED: Readonly<Record<string, string>> = Object.fromEntries(
  ['bale', 'day', 'feeding', 'layer', 'laying', 'lot', 'ration', 'reason', 'source', 'spore', 'test', 'ton'].map(
    (one) => [`${one}s`, one],
  ),
);

/** A unit in words for its figure: "1 lot without a test", "2 lots without a test". What is not counted stays. */
export function unitFor(count: number, unit: string): string {
  if (PLURALS.select(count) !== 'one') return unit;
  const words = unit.split(' ');
  const index = words.findIndex((word) => Object.hasOwn(COUNTED, word));
  return words.map((word, place) => (place === index ? (COUNTED[word] ?? word) : word)).join(' ');
}
