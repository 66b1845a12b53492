/** Words that go with a number, so that no sentence says "1 lots" or "a animal". */

/** "1 bale", "3 bales"; `many` where the plural is not the word with an s, or the verb goes with it. */
export function counted(count: number, one: string, many?: string): string {
  return `${count} ${noun(count, one, many)}`;
}

/** The word alone, for a figure that is written another way: "1,200" and "days". */
export function noun(count: number, one: string, many = `${one}s`): string {
  return Math.abs(count) === 1 ? one : many;
}

/** "a cow", "an animal", by the sound that the word begins with. */
export function withArticle(word: string): string {
  const vowel = /^(?:[aeio]|u(?!ni|se)|hour|honest)/i.test(word);
  return `${vowel ? 'an' : 'a'} ${word}`;
}
