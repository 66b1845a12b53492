/** What the cells of a column hold; how each looks never decides (an account 1400.10 is a name, not a number). */
export type CellType = 'text' | 'number' | 'day';

export interface Column {
  name: string;
  type: CellType;
}

/** Names, ids, words: kept letter for letter. */
export const text = (name: string): Column => ({ name, type: 'text' });
/** Amounts, masses, counts: a spreadsheet can add them up. */
export const figure = (name: string): Column => ({ name, type: 'number' });
/** Days, as YYYY-MM-DD. */
export const calendarDay = (name: string): Column => ({ name, type: 'day' });
