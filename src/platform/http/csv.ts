import { stringify } from 'csv-stringify/sync';
import type { Table } from './endpoint.js';
import type { Remark } from './file-head.js';

/**
 * What a spreadsheet takes for the beginning of a formula: the four signs, also in their full width, which East Asian
 * settings read alike, and also behind blanks and signs without a width, which an import may drop.
 */
const FORMULA = /^(?:[\t\r\n]|[\s\p{Cf}]*[=+\-@\uff1d\uff0b\uff0d\uff20])/u;

/**
 * Text that a spreadsheet would run as a formula is defused with a leading apostrophe (OWASP, CSV injection). Numbers
 * stay numbers.
 */
function defused(value: string | null): string {
  if (value === null) return '';
  if (/^-?(\d+(\.\d+)?|\.\d+)$/.test(value)) return value;
  return FORMULA.test(value) ? `'${value}` : value;
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
