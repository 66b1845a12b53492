import { isPlainText, madePlain } from '../../../platform/wire/plain-text.js';

/** Places of cells that hold what is not kept, as `placeOf` writes them. */
export type SpoiltPlaces = ReadonlySet<string>;

/** A row and a column, both counted from 1. */
export function placeOf(row: number, column: number): string {
  return `${row} ${column}`;
}

/**
 * The cells of a sheet as text that can be kept, whatever a workbook escapes or a program wrote, and the places of
 * those that could not. From here on nothing else of a file is seen. Line ends are those of the books.
 */
export function keptCells(records: readonly (readonly string[])[]): {
  readonly records: readonly (readonly string[])[];
  readonly spoilt: SpoiltPlaces;
} {
  const spoilt = new Set<string>();
  const kept = (cell: string, row: number, column: number): string => {
    const text = cell.includes('\r') ? cell.replaceAll(/\r\n?/g, '\n') : cell;
    if (isPlainText(text)) return text;
    spoilt.add(placeOf(row, column));
    return madePlain(text);
  };
  return {
    spoilt,
    records: records.map((cells, row) =>
      cells.every((cell) => isPlainText(cell)) ? cells : cells.map((cell, at) => kept(cell, row + 1, at + 1)),
    ),
  };
}
