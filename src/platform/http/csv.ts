import { stringify } from 'csv-stringify/sync';
import type { Table } from './endpoint.js';

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

/** RFC 4180: comma, CRLF, doubled quotes, one header row. */
export function renderCsv(table: Table): string {
  return stringify([table.columns, ...table.rows.map((row) => row.map(defused))], { record_delimiter: 'windows' });
}

/** Part of a table's rows; others come before or after. */
export function csvLines(rows: readonly (readonly (string | null)[])[]): string {
  return rows.length === 0
    ? ''
    : stringify(
        rows.map((row) => row.map(defused)),
        { record_delimiter: 'windows' },
      );
}
