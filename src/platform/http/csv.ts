import { stringify } from 'csv-stringify/sync';
import type { Table } from './endpoint.js';

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
