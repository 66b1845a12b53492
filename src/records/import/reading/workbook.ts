import { strToU8, zipSync } from 'fflate';
import readSheets from 'read-excel-file/universal';
import { decimal } from '../../../core/units/decimal.js';
import { beyondFile, type ReadFile, readSheet, unreadable } from '../csv-file.js';
import type { RowProblem } from '../row-problem.js';
import { BeyondBounds, FileMeasure } from './file-measure.js';
import { type SheetCensus, sheetCensus } from './sheet-census.js';
import { columnsKnown, type Notice, type ReadingRules } from './understood-sheet.js';
import { unpackedWorkbook } from './unpacked-workbook.js';
import { type Workbook, workbookOf } from './workbook-parts.js';

interface ReadSheet {
  readonly name: string;
  readonly census: SheetCensus;
  readonly records: readonly (readonly string[])[];
}

/**
 * Reads a workbook (.xlsx): the sheet that names the most columns, with the values that were last saved. Formulas are
 * never worked out. What is unpacked, and what its sheets would make, is measured before the library reads them.
 */
export async function readWorkbook(base64: string, rules: ReadingRules): Promise<ReadFile> {
  try {
    const sheets = await sheetsIn(workbookOf(await unpackedWorkbook(Buffer.from(base64, 'base64'))));
    const [best] = sheets
      .map((sheet) => ({ sheet, known: columnsKnown(sheet.records, rules) }))
      .sort((one, other) => other.known - one.known);
    if (best === undefined) throw new Error('It has no sheets.');
    const { name, records, census } = best.sheet;
    const file: ReadFile = { separator: null, ...readSheet(records, rules, false) };
    const others = sheets.filter((one) => one !== best.sheet && one.records.some((cells) => cells.length > 0));
    const otherNames = others.map((one) => one.name);
    return {
      ...file,
      rowProblems: [...file.rowProblems, ...census.broken],
      notices: [...file.notices, ...workbookNotices(name, census.formulas, otherNames)],
    };
  } catch (error) {
    if (error instanceof BeyondBounds) return beyondFile(null, error.problem);
    return unreadable(null, notAWorkbook((error as Error).message));
  }
}

/** The sheets with their cells as text, in the order of the workbook. */
async function sheetsIn(workbook: Workbook): Promise<ReadSheet[]> {
  const measure = new FileMeasure();
  const censuses = workbook.sheets.map((sheet) => ({ sheet, census: sheetCensus(sheet, workbook, measure) }));
  const packed = zipSync(Object.fromEntries([...workbook.parts].map(([name, text]) => [name, strToU8(text)])), {
    level: 0,
  });
  const bytes = packed.buffer.slice(packed.byteOffset, packed.byteOffset + packed.byteLength);
  const read = await readSheets(bytes, { parseNumber: (text: string) => Number(text) });
  return censuses.map(({ sheet: { name, at }, census }) => ({
    name,
    census,
    records: (read[at]?.data ?? []).map((cells, row) =>
      withoutLastEmpty(
        cells.map((cell, column) => textOfCell(cell as unknown, census.percents.has(`${row + 1} ${column + 1}`))),
      ),
    ),
  }));
}

/** The library fills each row up to the last column of the sheet. */
function withoutLastEmpty(cells: string[]): string[] {
  cells.length = cells.findLastIndex((cell) => cell !== '') + 1;
  return cells;
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

function workbookNotices(name: string, formulas: number, others: readonly string[]): Notice[] {
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
