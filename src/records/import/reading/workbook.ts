import { strFromU8, unzipSync, zipSync } from 'fflate';
import { readSheet as readOneSheet } from 'read-excel-file/universal';
import { decimal } from '../../../core/units/decimal.js';
import { type ReadFile, readSheet, unreadable } from '../csv-file.js';
import type { RowProblem } from '../row-problem.js';
import type { Notice, ReadingRules } from './understood-sheet.js';

/** Of all that is unpacked, in bytes: many times 20,000 rows. */
const UNPACKED_MAX = 67_108_864;
const PARTS_MAX = 2_000;
const SHEETS_MAX = 30;
const ROW_MAX = 25_000;
const COLUMN_MAX = 500;

/** A sheet of a workbook: its name, and its text in SpreadsheetML (ECMA-376, part 1, 18.3). */
interface Sheet {
  readonly name: string;
  readonly xml: string;
}

/**
 * Reads a workbook (.xlsx): the sheet that names the most columns, with the values that were last saved. Formulas are
 * never worked out. What is unpacked is bounded before anything reads it, and cells far outside are refused, since a
 * single one would make millions of empty ones.
 */
export async function readWorkbook(base64: string, rules: ReadingRules): Promise<ReadFile> {
  const parts = unpacked(Buffer.from(base64, 'base64'));
  if (!(parts instanceof Map)) return unreadable(null, parts);
  const sheets = sheetsOf(parts);
  const far = sheets.map(farCell).find((one) => one !== undefined);
  if (far !== undefined) return unreadable(null, far);
  const archive = zipSync(Object.fromEntries(parts), { level: 0 });
  const percents = percentStyles(textOf(parts, 'xl/styles.xml'));
  const read: { sheet: Sheet; file: ReadFile; known: number; filled: boolean }[] = [];
  for (const [at, sheet] of sheets.slice(0, SHEETS_MAX).entries()) {
    const records = await recordsOf(archive, at + 1, cellsWithStyle(sheet.xml, percents));
    if (!Array.isArray(records)) return unreadable(null, records);
    const file: ReadFile = { separator: null, ...readSheet(records, rules, false) };
    const known = file.header.filter(({ meant }) => typeof meant === 'object').length;
    read.push({ sheet, file, known, filled: records.some((cells) => cells.some((cell) => cell !== '')) });
  }
  const [first] = read;
  if (first === undefined) return unreadable(null, notAWorkbook('It has no sheets.'));
  const best = read.reduce((one, other) => (other.known > one.known ? other : one));
  const others = read.filter((one) => one !== best && one.filled).map(({ sheet: { name } }) => name);
  return {
    ...best.file,
    fileProblems: [...best.file.fileProblems],
    rowProblems: [...best.file.rowProblems, ...brokenCells(best.sheet.xml)],
    notices: [...best.file.notices, ...workbookNotices(best.sheet, others)],
  };
}

function unpacked(bytes: Uint8Array): Map<string, Uint8Array> | RowProblem {
  let size = 0;
  let count = 0;
  try {
    const parts = unzipSync(bytes, {
      filter: ({ name, originalSize }) => {
        if (!/\.(?:xml|rels)$/.test(name)) return false;
        size += originalSize;
        count += 1;
        return size <= UNPACKED_MAX && count <= PARTS_MAX;
      },
    });
    if (size > UNPACKED_MAX || count > PARTS_MAX)
      return {
        ...notAWorkbook('It is too large once it is unpacked.'),
        code: 'workbook-too-large',
        given: `${size} bytes in ${count} parts`,
        allowed: `at most ${UNPACKED_MAX} bytes in ${PARTS_MAX} parts, unpacked`,
      };
    return new Map(Object.entries(parts));
  } catch (error) {
    return notAWorkbook((error as Error).message);
  }
}

function textOf(parts: ReadonlyMap<string, Uint8Array>, name: string): string {
  const part = parts.get(name);
  return part === undefined ? '' : strFromU8(part);
}

/** In the order of the workbook. */
function sheetsOf(parts: ReadonlyMap<string, Uint8Array>): Sheet[] {
  const targets = new Map(
    [...textOf(parts, 'xl/_rels/workbook.xml.rels').matchAll(/<Relationship\b[^>]*>/g)].map(([tag]) => [
      attribute(tag, 'Id'),
      attribute(tag, 'Target').replace(/^\/?(?:xl\/)?/, ''),
    ]),
  );
  return [...textOf(parts, 'xl/workbook.xml').matchAll(/<sheet\b[^>]*>/g)].map(([tag]) => ({
    name: unescaped(attribute(tag, 'name')),
    xml: textOf(parts, `xl/${targets.get(attribute(tag, 'r:id')) ?? ''}`),
  }));
}

function attribute(tag: string, name: string): string {
  return RegExp(`\\s${name}="([^"]*)"`).exec(tag)?.[1] ?? '';
}

function unescaped(text: string): string {
  return text.replaceAll('&lt;', '<').replaceAll('&gt;', '>').replaceAll('&quot;', '"').replaceAll('&amp;', '&');
}

/** Columns are counted in letters: A is 1, AA is 27. */
function columnNumber(letters: string): number {
  return [...letters].reduce((sum, letter) => sum * 26 + letter.charCodeAt(0) - 64, 0);
}

function farCell({ xml }: Sheet): RowProblem | undefined {
  for (const [, letters = '', digits = ''] of xml.matchAll(/<(?:c|row)\b[^>]*?\sr="([A-Z]*)(\d+)"/g)) {
    const row = Number(digits);
    if (row <= ROW_MAX && columnNumber(letters) <= COLUMN_MAX) continue;
    return {
      row: Math.min(row, ROW_MAX),
      column: null,
      code: 'too-many-rows',
      given: `${letters}${digits}`,
      allowed: `cells within ${COLUMN_MAX} columns and ${ROW_MAX} rows`,
      message: `The sheet has a cell at ${letters === '' ? `row ${digits}` : `${letters}${digits}`}.`,
    };
  }
  return undefined;
}

async function recordsOf(
  archive: Uint8Array,
  sheet: number,
  percents: ReadonlySet<string>,
): Promise<string[][] | RowProblem> {
  try {
    const bytes = archive.buffer.slice(archive.byteOffset, archive.byteOffset + archive.byteLength) as ArrayBuffer;
    const rows = await readOneSheet(bytes, sheet, { parseNumber: (text: string) => Number(text) });
    return rows.map((cells, at) =>
      cells.map((cell, column) => textOfCell(cell as unknown, percents.has(`${at + 1} ${column + 1}`))),
    );
  } catch (error) {
    return notAWorkbook((error as Error).message);
  }
}

/**
 * A cell as a spreadsheet shows it: figures to fifteen digits, which is what was typed, since a workbook keeps them as
 * binary fractions; days as days, since they are typed so in a workbook.
 */
function textOfCell(cell: unknown, percent: boolean): string {
  if (cell === null || cell === undefined) return '';
  if (cell instanceof Date)
    return cell
      .toISOString()
      .replace(/T00:00:00\.000Z$/, '')
      .replace(/\.\d+Z$/, '');
  if (typeof cell === 'number') {
    const figure = decimal(cell.toPrecision(15));
    return percent ? `${figure.times(100).toFixed()}%` : figure.toFixed();
  }
  if (typeof cell === 'boolean') return cell ? 'yes' : 'no';
  return typeof cell === 'string' ? cell.trim() : '';
}

/** Numbers of cell styles that show a share as percent: 0.145 as 14.5 % (ECMA-376, 18.8.30: formats 9 and 10). */
function percentStyles(styles: string): ReadonlySet<string> {
  const formats = new Set(
    [...styles.matchAll(/<numFmt\b[^>]*>/g)]
      .filter(([tag]) => attribute(tag, 'formatCode').includes('%'))
      .map(([tag]) => attribute(tag, 'numFmtId')),
  );
  const cells = /<cellXfs\b[^>]*>([\s\S]*?)<\/cellXfs>/.exec(styles)?.[1] ?? '';
  return new Set(
    [...cells.matchAll(/<xf\b[^>]*>/g)].flatMap(([tag], at) => {
      const format = attribute(tag, 'numFmtId');
      return format === '9' || format === '10' || formats.has(format) ? [String(at)] : [];
    }),
  );
}

/** Rows and columns of the cells in one of these styles. */
function cellsWithStyle(xml: string, styles: ReadonlySet<string>): ReadonlySet<string> {
  if (styles.size === 0) return new Set();
  return new Set(
    [...xml.matchAll(/<c\b[^>]*>/g)].flatMap(([tag]) => {
      const place = placeOf(tag);
      return place !== undefined && styles.has(attribute(tag, 's')) ? [`${place.row} ${place.column}`] : [];
    }),
  );
}

function placeOf(tag: string): { row: number; column: number; ref: string } | undefined {
  const [ref, letters, digits] = /^([A-Z]+)(\d+)$/.exec(attribute(tag, 'r')) ?? [];
  return ref === undefined || letters === undefined || digits === undefined
    ? undefined
    : { ref, row: Number(digits), column: columnNumber(letters) };
}

/** Cells that show an error, and formulas whose value was never saved. */
function brokenCells(xml: string): RowProblem[] {
  return [...xml.matchAll(/(<c\b[^>]*?(?<!\/)>)([\s\S]*?)<\/c>/g)].flatMap(([, tag = '', inside = '']) => {
    const place = placeOf(tag);
    const value = /<v\b[^>]*>([^<]*)<\/v>/.exec(inside)?.[1];
    const error = attribute(tag, 't') === 'e';
    if (place === undefined || (!error && !(/<f\b/.test(inside) && value === undefined))) return [];
    return [
      {
        row: place.row,
        column: place.ref,
        code: error ? 'error-in-cell' : 'formula-without-value',
        given: error ? (value ?? null) : null,
        allowed: error ? 'a value' : 'a workbook that was worked out and saved by a spreadsheet',
        message: error ? 'The cell shows an error.' : 'The cell has a formula, and its value was not saved.',
      },
    ];
  });
}

function workbookNotices({ name, xml }: Sheet, others: readonly string[]): Notice[] {
  const formulas = [...xml.matchAll(/<f\b/g)].length;
  return [
    ...(formulas === 0
      ? []
      : [
          {
            row: null,
            column: null,
            code: 'formulas',
            message: `${formulas} of its cells have formulas; they count with the values that were last saved.`,
          },
        ]),
    ...(others.length === 0
      ? []
      : [
          {
            row: null,
            column: null,
            code: 'other-sheets',
            message: `The sheet "${name}" is read; left out: ${others.join(', ')}.`,
          },
        ]),
  ];
}

function notAWorkbook(message: string): RowProblem {
  return {
    row: 1,
    column: null,
    code: 'not-a-workbook',
    given: null,
    allowed: 'a workbook as a spreadsheet saves it (.xlsx), without a password, or CSV',
    message: `The workbook cannot be read: ${message}`,
  };
}
