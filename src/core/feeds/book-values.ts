import { BOOK_VALUES, type BookValue } from './book-values.data.js';

/** The book value by its key. `undefined` if there is none. */
export function bookValue(key: string): BookValue | undefined {
  return BOOK_VALUES.find((candidate) => candidate.key === key);
}
