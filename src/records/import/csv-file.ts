import { parse } from 'csv-parse/sync';
import { asTyped } from '../../platform/http/csv.js';
import { allColumns, type ColumnSet } from './columns.js';
import type { RowProblem } from './row-problem.js';

const ROWS_MAX = 20_000;
const SEPARATORS = [',', ';', '\t'] as const;
export type Separator = (typeof SEPARATORS)[number];

/** One row of a file, its cells by column name; empty cells are left out. */
export interface FileRow {
  readonly number: number;
  readonly cells: ReadonlyMap<string, string>;
}

export interface CsvFile {
  readonly separator: Separator;
  readonly columns: readonly string[];
  readonly rows: readonly FileRow[];
  readonly problems: readonly RowProblem[];
}

/**
 * Reads a file as it comes from a phone or a spreadsheet: byte order mark or none, comma, semicolon or tab, any line
 * end, quoted fields. The header decides which cells there are; every fault in the file's form is listed, and none
 * keeps the others from being found.
 */
export function readCsvFile(text: string, set: ColumnSet): CsvFile {
  const separator = separatorOf(text);
  const unreadable = (problem: RowProblem): CsvFile => ({ separator, columns: [], rows: [], problems: [problem] });
  const records = recordsOf(text, separator);
  if (!Array.isArray(records)) return unreadable(records);
  const header = (records[0] ?? []).map((name) => name.toLowerCase());
  const under = records.slice(1);
  const obstacle = headerless(header, set) ?? tooManyRows(under);
  if (obstacle !== undefined) return unreadable(obstacle);
  const { rows, strayCells } = rowsUnder(header, under, set);
  const problems = [...headerProblems(header, set), ...strayCells];
  return {
    separator,
    columns: header.filter((name) => name !== ''),
    rows,
    problems: rows.length === 0 && problems.length === 0 ? [NO_ROWS] : problems,
  };
}

/** The lines of the file as the CSV parser splits them, or why it cannot. */
function recordsOf(text: string, separator: Separator): string[][] | RowProblem {
  try {
    return parse(text, {
      bom: true,
      delimiter: separator,
      record_delimiter: ['\r\n', '\n', '\r'],
      relax_column_count: true,
      skip_empty_lines: false,
      trim: true,
    });
  } catch (error) {
    const { lines, message } = error as { lines?: number; message: string };
    return {
      row: lines ?? 1,
      column: null,
      code: 'not-csv',
      given: null,
      allowed: 'fields in double quotes, with quotes inside doubled',
      message,
    };
  }
}

function headerless(header: readonly string[], set: ColumnSet): RowProblem | undefined {
  if (header.some((name) => name !== '')) return undefined;
  const names = allColumns(set).map((one) => one.name);
  return {
    row: 1,
    column: null,
    code: 'no-header',
    given: null,
    allowed: `a first row with names of columns: ${names.join(', ')}`,
    message: 'The first row names no columns.',
  };
}

function tooManyRows(under: readonly string[][]): RowProblem | undefined {
  const filled = under.filter((record) => record.some((cell) => cell !== '')).length;
  if (filled <= ROWS_MAX) return undefined;
  return {
    row: ROWS_MAX + 2,
    column: null,
    code: 'too-many-rows',
    given: String(filled),
    allowed: `at most ${ROWS_MAX} rows in one file`,
    message: `The file has ${filled} rows; cut it into files of at most ${ROWS_MAX}.`,
  };
}

const NO_ROWS: RowProblem = {
  row: 2,
  column: null,
  code: 'no-rows',
  given: null,
  allowed: 'at least one row under the header',
  message: 'The file has a header and nothing under it.',
};

/** The filled rows, their cells by column, and every cell that is under no column. Unknown columns are left out. */
function rowsUnder(
  header: readonly string[],
  under: readonly string[][],
  set: ColumnSet,
): { rows: FileRow[]; strayCells: RowProblem[] } {
  const known = new Set(allColumns(set).map((one) => one.name));
  const rows: FileRow[] = [];
  const strayCells: RowProblem[] = [];
  under.forEach((record, index) => {
    const number = index + 2;
    const cells = new Map<string, string>();
    record.forEach((cell, position) => {
      if (cell === '') return;
      const column = header[position] ?? '';
      if (column === '')
        strayCells.push({
          row: number,
          column: null,
          code: 'cell-without-column',
          given: cell.slice(0, 100),
          allowed: `at most ${header.length} cells, each under a named column`,
          message: `Cell ${position + 1} of row ${number} is under no column.`,
        });
      else if (known.has(column)) cells.set(column, asTyped(cell));
    });
    if (cells.size > 0) rows.push({ number, cells });
  });
  return { rows, strayCells };
}

function headerProblems(header: readonly string[], set: ColumnSet): RowProblem[] {
  const problems: RowProblem[] = [];
  const columns = allColumns(set);
  const known = new Set(columns.map((one) => one.name));
  header.forEach((name, index) => {
    if (name === '') return;
    if (!known.has(name))
      problems.push({
        row: 1,
        column: name.slice(0, 100),
        code: 'unknown-column',
        given: name.slice(0, 100),
        allowed: `one of ${[...known].join(', ')}`,
        message: `There is no column "${name.slice(0, 100)}" here; names carry the unit.`,
      });
    else if (header.indexOf(name) < index)
      problems.push({
        row: 1,
        column: name,
        code: 'column-twice',
        given: name,
        allowed: 'each column once',
        message: `The column "${name}" is listed twice.`,
      });
  });
  for (const { name } of columns.filter((one) => one.required && !header.includes(one.name))) {
    problems.push({
      row: 1,
      column: name,
      code: 'missing',
      given: null,
      allowed: `a column "${name}"`,
      message: `The column "${name}" is missing.`,
    });
  }
  for (const family of set.families.filter((one) => one.required)) {
    const names = family.columns.map((one) => one.name);
    if (!names.some((name) => header.includes(name)))
      problems.push({
        row: 1,
        column: `${family.stem}_…`,
        code: 'missing',
        given: null,
        allowed: `one of ${names.join(', ')}`,
        message: `A column for ${family.what.toLowerCase()} is missing.`,
      });
  }
  return problems;
}

/** The separator that occurs most often in the header line, outside quotes. */
function separatorOf(text: string): Separator {
  const line = text.split(/\r\n|\n|\r/, 1)[0]?.replaceAll(/"(?:[^"]|"")*"/g, '') ?? '';
  const counts = SEPARATORS.map((separator) => ({ separator, count: line.split(separator).length - 1 }));
  return counts.reduce((best, one) => (one.count > best.count ? one : best)).separator;
}
