import { parse } from 'csv-parse/sync';
import { asTyped } from '../../platform/http/csv.js';
import { type FileRow, type Notice, type ReadingRules, understoodSheet } from './reading/understood-sheet.js';
import type { HeaderCell } from './reading/column-mapping.js';
import type { RowProblem } from './row-problem.js';

export type { FileRow } from './reading/understood-sheet.js';
const SEPARATORS = [',', ';', '\t'] as const;
export type Separator = (typeof SEPARATORS)[number];
const HEAD_LOOKED_AT = 65_536;
const LINES_LOOKED_AT = 30;

/** A file of records as it is understood. */
export interface ReadFile {
  /** What separates the cells; null for a workbook. */
  readonly separator: Separator | null;
  readonly shape: string | null;
  readonly header: readonly HeaderCell[];
  readonly rows: readonly FileRow[];
  /** Problems with which no row can be read. */
  readonly fileProblems: readonly RowProblem[];
  readonly rowProblems: readonly RowProblem[];
  readonly notices: readonly Notice[];
}

/**
 * Reads a file as it comes from a phone or a spreadsheet: byte order mark or none, comma, semicolon or tab, any line
 * end, quoted fields. What its cells mean is found out by `understoodSheet`.
 */
export function readCsvFile(text: string, rules: ReadingRules): ReadFile {
  const separator = separatorOf(text);
  const records = recordsOf(text, separator);
  if (!Array.isArray(records)) return unreadable(separator, records);
  const typed = records.map((record) => record.map(asTyped));
  return { separator, ...readSheet(typed, rules, separator !== ',') };
}

export function unreadable(separator: Separator | null, problem: RowProblem): ReadFile {
  return { separator, shape: null, header: [], rows: [], fileProblems: [problem], rowProblems: [], notices: [] };
}

export function readSheet(
  records: readonly (readonly string[])[],
  rules: ReadingRules,
  commaMayBeDecimal: boolean,
): Omit<ReadFile, 'separator'> {
  const { headerProblems, ...sheet } = understoodSheet(records, rules, commaMayBeDecimal);
  return { ...sheet, fileProblems: headerProblems };
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

/**
 * The separator that occurs most often in one of the first lines, outside quotes: titles above the header have few of
 * any.
 */
function separatorOf(text: string): Separator {
  const lines = text
    .slice(0, HEAD_LOOKED_AT)
    .split(/\r\n|\n|\r/, LINES_LOOKED_AT)
    .map((line) => line.replaceAll(/"(?:[^"]|"")*"/g, ''));
  const counts = SEPARATORS.map((separator) => ({
    separator,
    count: Math.max(...lines.map((line) => line.split(separator).length - 1)),
  }));
  return counts.reduce((best, one) => (one.count > best.count ? one : best)).separator;
}
