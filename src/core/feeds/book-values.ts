import { BOOK_VALUE_VARIATION, BOOK_VALUES, type BookValue } from './book-values.data.js';

/** The book value by its key. `undefined` if there is none. */
export function bookValue(key: string): BookValue | undefined {
  return BOOK_VALUES.find((candidate) => candidate.key === key);
}

/**
 * The range within which real hays of one kind usually fall, around a table figure.
 * Source: Stanton & LeValley, Colorado State University fact sheet 1.615.
 */
export function bookValueRange({ figure, kind }: { figure: number; kind: 'organic' | 'mineral' | 'energy' }): {
  from: number;
  to: number;
} {
  const percent = {
    organic: BOOK_VALUE_VARIATION.organicPercent,
    mineral: BOOK_VALUE_VARIATION.mineralPercent,
    energy: BOOK_VALUE_VARIATION.energyPercent,
  }[kind];
  return { from: figure * (1 - percent / 100), to: figure * (1 + percent / 100) };
}
