import { beginning } from '../../../platform/wire/plain-text.js';
import type { RowProblem } from '../row-problem.js';
import { FILE_BOUNDS } from './file-bounds.data.js';

/** More than is read of a file. */
export class BeyondBounds extends Error {
  override name = 'BeyondBounds';

  constructor(readonly problem: RowProblem) {
    super(problem.message);
  }
}

const words = (count: number): string => count.toLocaleString('en-US');

/** Measures a file cell by cell, before anything is made of it. */
export class FileMeasure {
  #letters = 0;
  #places = 0;

  /**
   * A filled cell at a row and a column, both counted from 1, and its length.
   * @throws BeyondBounds at the first that is too much
   */
  cell(row: number, column: number, letters: number): void {
    if (column > FILE_BOUNDS.columns) throw tooManyColumns(row, column);
    if (letters > FILE_BOUNDS.cellLetters) throw tooLongCell(row, column, letters);
    this.#letters += letters;
    if (this.#letters > FILE_BOUNDS.letters) throw tooMuchText(row);
  }

  /** The last row of a sheet. @throws BeyondBounds */
  row(row: number): void {
    if (row > FILE_BOUNDS.lastRow) throw tooManyRows(row);
  }

  /** A sheet from its first cell to its last. @throws BeyondBounds */
  sheet(name: string, lastRow: number, lastColumn: number): void {
    this.#places += lastRow * lastColumn;
    if (this.#places > FILE_BOUNDS.places)
      throw beyond(lastRow, 'too-many-cells', `more than ${words(FILE_BOUNDS.places)} cells`, {
        allowed: `at most ${words(FILE_BOUNDS.places)} cells between the first and the last of all sheets`,
        message: `The workbook has too many cells, up to those of the sheet "${beginning(name, 100)}".`,
      });
  }
}

/** @param filled rows under the header that are not empty */
export function tooManyFilled(filled: number): RowProblem {
  return {
    row: FILE_BOUNDS.rows + 2,
    column: null,
    code: 'too-many-rows',
    given: String(filled),
    allowed: `at most ${FILE_BOUNDS.rows} rows in one file`,
    message: `The file has ${words(filled)} rows; cut it into files of at most ${words(FILE_BOUNDS.rows)}.`,
  };
}

/** @param records how many a file would make, of a kind that is written one by one */
export function tooManyRecords(records: number): RowProblem {
  return {
    row: FILE_BOUNDS.recordsOneByOne + 2,
    column: null,
    code: 'too-many-records',
    given: String(records),
    allowed: `at most ${words(FILE_BOUNDS.recordsOneByOne)} records in one file of this kind`,
    message:
      `The rows of the file would make ${words(records)} records; cut it into files of at most ` +
      `${words(FILE_BOUNDS.recordsOneByOne)}.`,
  };
}

/** @param column its place, from 1 */
export function tooLongHeader(row: number, column: number, header: string): RowProblem {
  const { headerLetters } = FILE_BOUNDS;
  return beyond(row, 'header-too-long', `${words(header.length)} characters: ${beginning(header, 50)} …`, {
    column: String(column),
    allowed: `at most ${headerLetters} characters in the name of a column`,
    message: `The name of column ${column} has ${words(header.length)} characters; shorten it.`,
  }).problem;
}

export function tooManySheets(sheets: number): BeyondBounds {
  return beyond(1, 'too-many-sheets', words(sheets), {
    allowed: `at most ${FILE_BOUNDS.sheets} sheets in one workbook`,
    message: `The workbook has ${words(sheets)} sheets; send the one with the records.`,
  });
}

/** @param given how much there is, in words */
export function tooMuchUnpacked(given: string): BeyondBounds {
  return beyond(1, 'workbook-too-large', given, {
    allowed: `at most ${words(FILE_BOUNDS.bytes)} bytes in ${words(FILE_BOUNDS.parts)} parts, unpacked`,
    message: 'The workbook is too large once it is unpacked; send only the sheet with the records, or CSV.',
  });
}

function tooManyColumns(row: number, column: number): BeyondBounds {
  return beyond(row, 'too-many-columns', words(column), {
    allowed: `at most ${words(FILE_BOUNDS.columns)} columns in one file`,
    message: `Row ${row} has a cell in column ${words(column)}; leave out the columns that hold no records.`,
  });
}

function tooManyRows(row: number): BeyondBounds {
  return beyond(row, 'too-many-rows', words(row), {
    allowed: `at most ${words(FILE_BOUNDS.lastRow)} rows in a sheet, titles and empty ones too`,
    message: `The sheet goes on to row ${words(row)}; cut it, or delete what stands far below the records.`,
  });
}

function tooLongCell(row: number, column: number, letters: number): BeyondBounds {
  return beyond(row, 'cell-too-long', `${words(letters)} characters`, {
    column: String(column),
    allowed: `at most ${words(FILE_BOUNDS.cellLetters)} characters in one cell`,
    message: `The cell in column ${column} of row ${row} has ${words(letters)} characters; shorten it.`,
  });
}

function tooMuchText(row: number): BeyondBounds {
  return beyond(row, 'too-much-text', `more than ${words(FILE_BOUNDS.letters)} characters up to row ${row}`, {
    allowed: `at most ${words(FILE_BOUNDS.letters)} characters in all cells of one file`,
    message: `The cells of the file hold more than ${words(FILE_BOUNDS.letters)} characters; cut it into several.`,
  });
}

function beyond(
  row: number,
  code: string,
  given: string,
  { column = null, ...rest }: { column?: string | null; allowed: string; message: string },
): BeyondBounds {
  return new BeyondBounds({ row, column, code, given, ...rest });
}
