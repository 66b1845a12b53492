import { strToU8, zipSync } from 'fflate';
import readSheets from 'read-excel-file/universal';
import { decimal } from '../../../core/units/decimal.js';
import { beyondFile, type ReadFile, readSheet, unreadable } from '../csv-file.js';
import type { RowProblem } from '../row-problem.js';
import { BeyondBounds, FileMeasure } from './file-measure.js';
import type { ShownFormat } from './cell-format.js';
import { markShownBy, numberInCell } from './read-number.js';
import { type SheetCensus, sheetCensus } from './sheet-census.js';
import { columnsKnown, type Notice, type ReadingRules, type WrittenAt } from './understood-sheet.js';
import { unpackedWorkbook } from './unpacked-workbook.js';
import { type Workbook, workbookOf } from './workbook-parts.js';

interface ReadSheet {
  readonly name: string;
  readonly census: SheetCensus;
  readonly records: readonly (readonly string[])[];
  /** Places of figures that are text, with a mark in them, as "row column". */
  readonly figuresAsText: ReadonlySet<string>;
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
    const { name, records, census, figuresAsText } = best.sheet;
    const writtenAt: WrittenAt = (row, at) => (figuresAsText.has(`${row} ${at + 1}`) ? 'text-of-workbook' : 'number');
    const file: ReadFile = { separator: null, ...readSheet(records, rules, writtenAt) };
    const others = sheets.filter((one) => one !== best.sheet && one.records.some((cells) => cells.length > 0));
    const otherNames = others.map((one) => one.name);
    return {
      ...file,
      rowProblems: [...file.rowProblems, ...census.broken],
      notices: [...file.notices, ...workbookNotices(name, census, otherNames)],
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
  return censuses.map(({ sheet: { name, at }, census }) => {
    const figuresAsText = new Set<string>();
    const records = (read[at]?.data ?? []).map((cells, row) =>
      withoutLastEmpty(
        cells.map((cell: unknown, column) => {
          const place = `${row + 1} ${column + 1}`;
          if (typeof cell === 'string' && isMarkedFigure(cell)) figuresAsText.add(place);
          return textOfCell(cell, census.shown.get(place));
        }),
      ),
    );
    return { name, census, records, figuresAsText };
  });
}

/** Whether it is a number with a point or a comma that may stand before decimals or between thousands. */
function isMarkedFigure(text: string): boolean {
  const number = numberInCell(text);
  return number !== undefined && markShownBy(number.digits) !== undefined;
}

/** The library fills each row up to the last column of the sheet. */
function withoutLastEmpty(cells: string[]): string[] {
  cells.length = cells.findLastIndex((cell) => cell !== '') + 1;
  return cells;
}

/**
 * A cell as a spreadsheet shows it: figures to fifteen digits, which is what was typed, since a workbook keeps them as
 * binary fractions, with the unit or currency that its format shows; days as days, since they are typed so there.
 */
function textOfCell(cell: unknown, shown: ShownFormat | undefined): string {
  if (cell === null || cell === undefined) return '';
  if (cell instanceof Date)
    return cell
      .toISOString()
      .replace(/T00:00:00\.000Z$/, '')
      .replace(/\.\d+Z$/, '');
  if (typeof cell === 'number') {
    const figure = decimal(cell.toPrecision(15));
    if (shown === undefined) return figure.toFixed();
    const { percent, before, after } = shown;
    return `${before} ${percent ? `${figure.times(100).toFixed()}%` : figure.toFixed()} ${after}`.trim();
  }
  if (typeof cell === 'boolean') return cell ? 'yes' : 'no';
  return typeof cell === 'string' ? cell.trim() : '';
}

function workbookNotices(name: string, { formulas, hiddenRows }: SheetCensus, others: readonly string[]): Notice[] {
  return [
    ...(hiddenRows === 0
      ? []
      : [
          {
            row: null,
            column: null,
            code: 'hidden-rows',
            message: `${hiddenRows} of its rows are hidden in the spreadsheet; they are read too.`,
          },
        ]),
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
