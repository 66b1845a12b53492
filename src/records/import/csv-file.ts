import { parse } from 'csv-parse/sync';
import { asTyped } from '../../platform/http/csv.js';
import {
  type FileRow,
  type Notice,
  type ReadingRules,
  understoodSheet,
  type WrittenAt,
} from './reading/understood-sheet.js';
import { FILE_BOUNDS } from './reading/file-bounds.data.js';
import { BeyondBounds, FileMeasure, tooManyFilled } from './reading/file-measure.js';
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
  /** What is more than is read of a file; then nothing of it was made. */
  readonly beyond: RowProblem | null;
}

/**
 * Reads a file as it comes from a phone or a spreadsheet: byte order mark or none, comma, semicolon or tab, any line
 * end, quoted fields. What its cells mean is found out by `understoodSheet`.
 */
export function readCsvFile(text: string, rules: ReadingRules): ReadFile {
  const separator = separatorOf(text);
  const records = recordsOf(text, separator);
  if (records instanceof BeyondBounds) return beyondFile(separator, records.problem);
  if (!Array.isArray(records)) return unreadable(separator, records);
  return { separator, ...readSheet(records, rules, () => (separator === ',' ? 'between-commas' : 'either-way')) };
}

const NOTHING = { shape: null, header: [], rows: [], fileProblems: [], rowProblems: [], notices: [], beyond: null };

export function unreadable(separator: Separator | null, problem: RowProblem): ReadFile {
  return { ...NOTHING, separator, fileProblems: [problem] };
}

export function beyondFile(separator: Separator | null, beyond: RowProblem): ReadFile {
  return { ...NOTHING, separator, beyond };
}

export function readSheet(
  records: readonly (readonly string[])[],
  rules: ReadingRules,
  writtenAt: WrittenAt,
): Omit<ReadFile, 'separator'> {
  const { headerProblems, ...sheet } = understoodSheet(records, rules, writtenAt);
  return { ...sheet, fileProblems: headerProblems };
}

/**
 * The lines of the file as the CSV parser splits them, measured one by one, or why they cannot be read. Separators
 * after the last cell of a row are left out; of an empty line the parser makes nothing.
 */
function recordsOf(text: string, separator: Separator): (readonly string[])[] | RowProblem | BeyondBounds {
  const measure = new FileMeasure();
  const records: (readonly string[])[] = [];
  try {
    parse(withoutEnd(text), {
      bom: true,
      delimiter: separator,
      record_delimiter: ['\r\n', '\n', '\r'],
      relax_column_count: true,
      skip_empty_lines: true,
      trim: true,
      on_record: (cells: string[], info) => {
        const row = info.records + info.empty_lines;
        if (row > FILE_BOUNDS.lastRow && info.records > FILE_BOUNDS.rows)
          throw new BeyondBounds(tooManyFilled(filledLines(text) - 1));
        measure.row(row);
        cells.length = cells.findLastIndex((cell) => cell !== '') + 1;
        for (const [at, cell] of cells.entries()) if (cell !== '') measure.cell(row, at + 1, cell.length);
        while (records.length < row - 1) records.push([]);
        records.push(cells.map(asTyped));
        return undefined;
      },
    });
    return records;
  } catch (error) {
    if (error instanceof BeyondBounds) return error;
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

const BLANK = new Set(['\n', '\r', ' ', ...SEPARATORS]);

/** Spreadsheets write a million rows of separators where somebody once formatted a whole column. */
function withoutEnd(text: string): string {
  let end = text.length;
  while (end > 0 && BLANK.has(text.charAt(end - 1))) end -= 1;
  return text.slice(0, end);
}

/** How many lines hold something, where line ends in double quotes end no line. */
function filledLines(text: string): number {
  let [lines, filled, quoted] = [0, false, false];
  for (const sign of text) {
    if (sign === '"') quoted = !quoted;
    if (!quoted && (sign === '\n' || sign === '\r')) {
      if (filled) lines += 1;
      filled = false;
    } else if (!BLANK.has(sign)) filled = true;
  }
  return lines + (filled ? 1 : 0);
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
