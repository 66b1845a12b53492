import { stringify } from 'csv-stringify/sync';
import type { Table } from './endpoint.js';
import type { Remark } from './file-head.js';

/**
 * What a spreadsheet takes for the beginning of a formula: the four signs, also in their full width, which East Asian
 * settings read alike, and also behind blanks and signs without a width, which an import may drop. Apostrophes before
 * it are those of `defused`, and what was typed.
 */
const FORMULA = /^'*[\s\p{Cf}]*[=+\-@\uff1d\uff0b\uff0d\uff20]/u;
/**
 * A reader that separates by semicolon, tab or bar begins another cell here, and another row at a line end: a quote in
 * the middle of what it takes for a cell holds nothing together.
 */
const SEPARATORS = /([;|\t\r\n])/;
const NUMBER = /^-?(\d+(\.\d+)?|\.\d+)$/;

/**
 * Text that a spreadsheet would run as a formula, whatever it separates cells by, is defused with an apostrophe (OWASP,
 * CSV injection). Where one was typed there it gets another, so that `asTyped` finds what was typed. Numbers stay
 * numbers.
 */
function defused(value: string | null): string {
  if (value === null) return '';
  if (NUMBER.test(value)) return value;
  return inParts(value, (part) => (FORMULA.test(part) ? `'${part}` : part));
}

/** What was typed, of a cell that `defused` wrote, or that somebody typed with an apostrophe for the same reason. */
export function asTyped(cell: string): string {
  return inParts(cell, (part) => (part.startsWith("'") && FORMULA.test(part) ? part.slice(1) : part));
}

function inParts(text: string, change: (part: string) => string): string {
  return text.split(SEPARATORS).map(change).join('');
}

/** A name that begins like a comment is quoted, so that no reader of comments takes its row for one. */
const OPTIONS = { record_delimiter: 'windows', quoted_match: /^#/ } as const;

/** RFC 4180: comma, CRLF, doubled quotes, one header row. */
export function renderCsv(table: Table): string {
  return stringify([table.columns.map(({ name }) => name), ...table.rows.map((row) => row.map(defused))], OPTIONS);
}

/** Part of a table's rows; others come before or after. */
export function csvLines(rows: readonly (readonly (string | null)[])[]): string {
  return rows.length === 0
    ? ''
    : stringify(
        rows.map((row) => row.map(defused)),
        OPTIONS,
      );
}

/**
 * What is said of a table, in rows that begin with `#`: comments to a program that goes by the W3C's model for tabular
 * data (Metadata Vocabulary, 2015, 5.9: `commentPrefix` is `#` unless said otherwise), rows of two cells to a
 * spreadsheet.
 */
export function csvRemarks(remarks: readonly Remark[]): string {
  return remarks.length === 0
    ? ''
    : stringify(
        remarks.map(([what, said]) => [`# ${what}`, defused(said.replaceAll(/\s+/g, ' '))]),
        { record_delimiter: 'windows' },
      );
}
