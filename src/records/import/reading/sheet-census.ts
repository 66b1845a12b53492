import type { RowProblem } from '../row-problem.js';
import type { ShownFormat } from './cell-format.js';
import type { FileMeasure } from './file-measure.js';
import type { Sheet, Workbook } from './workbook-parts.js';
import { type Attributes, walkXml } from './xml-walk.js';

/** What stands in a sheet beside the values of its cells. */
export interface SheetCensus {
  /** Cells that show more than their figure, by place, as "row column". */
  readonly shown: ReadonlyMap<string, ShownFormat>;
  /** Rows with cells that the spreadsheet does not show. */
  readonly hiddenRows: number;
  readonly formulas: number;
  /** Cells that show an error, and formulas whose value was never saved. */
  readonly broken: readonly RowProblem[];
}

interface Place {
  readonly ref: string;
  readonly row: number;
  readonly column: number;
}

/** A cell while it is gone through. */
interface Cell {
  readonly place: Place;
  readonly attributes: Attributes;
  value?: string;
  text: number;
  formula: boolean;
}

/**
 * Goes through a sheet before the library does: nothing of it is made, so that a shared text that a million cells show,
 * and a single cell that makes millions of empty ones, are found first.
 * @throws BeyondBounds, or Error where the sheet is no XML
 */
export function sheetCensus({ name, xml }: Sheet, workbook: Workbook, measure: FileMeasure): SheetCensus {
  const shown = new Map<string, ShownFormat>();
  const hidden = new Set<number>();
  const hiddenFilled = new Set<number>();
  const broken: RowProblem[] = [];
  let [formulas, row, lastRow, lastColumn] = [0, 0, 0, 0];
  let [inValue, inText] = [false, false];
  let cell: Cell | undefined;
  const rowTo = (place: number): void => {
    measure.row(place);
    lastRow = Math.max(lastRow, place);
  };
  const count = ({ place, attributes, ...rest }: Cell): void => {
    rowTo(place.row);
    if (isFilled({ attributes, ...rest })) {
      lastColumn = Math.max(lastColumn, place.column);
      measure.cell(place.row, place.column, lettersOf({ attributes, ...rest }, workbook.sharedLengths));
    }
    const format = workbook.styles.get(attributes['s'] ?? '');
    if (format !== undefined) shown.set(`${place.row} ${place.column}`, format);
    if (hidden.has(place.row) && isFilled({ attributes, ...rest })) hiddenFilled.add(place.row);
    broken.push(...problemOf({ place, attributes, ...rest }));
  };
  walkXml(xml, {
    open: (tag, attributes) => {
      if (tag === 'row') {
        row = Number(attributes['r']) || row + 1;
        if (attributes['hidden'] === '1' || attributes['hidden'] === 'true') hidden.add(row);
        rowTo(row);
      } else if (tag === 'c') cell = { place: placeOf(attributes['r'] ?? ''), attributes, text: 0, formula: false };
      else if (cell === undefined) return;
      else if (tag === 'f') cell.formula = true;
      else if (tag === 'v') {
        inValue = true;
        cell.value ??= '';
      } else if (tag === 't') inText = true;
      if (tag === 'f') formulas += 1;
    },
    text: (text) => {
      if (cell === undefined) return;
      if (inValue) cell.value = (cell.value ?? '') + text;
      else if (inText) cell.text += text.length;
    },
    close: (tag) => {
      if (tag === 'v') inValue = false;
      else if (tag === 't') inText = false;
      else if (tag === 'c' && cell !== undefined) {
        count(cell);
        cell = undefined;
      }
    },
  });
  measure.sheet(name, lastRow, lastColumn);
  return { shown, hiddenRows: hiddenFilled.size, formulas, broken };
}

/** Whether it makes a cell, be it of an empty text; a format alone does not. */
function isFilled({ attributes, value = '' }: Pick<Cell, 'attributes' | 'value'>): boolean {
  return (attributes['t'] ?? 'n') !== 'n' || value !== '';
}

/** Of what a spreadsheet shows there: of a shared text wherever it is shown. */
function lettersOf(cell: Pick<Cell, 'attributes' | 'value' | 'text'>, shared: readonly number[]): number {
  if (cell.attributes['t'] === 's') return shared[Number(cell.value)] ?? 0;
  return Math.max(cell.text, cell.value?.length ?? 0);
}

function placeOf(ref: string): Place {
  const [, letters = '', digits = ''] = /^([A-Z]+)(\d+)$/.exec(ref) ?? [];
  if (digits === '') throw new Error(`A cell says that it is at "${ref.slice(0, 20)}".`);
  return { ref, row: Number(digits), column: columnNumber(letters) };
}

/** Columns are counted in letters: A is 1, AA is 27. */
function columnNumber(letters: string): number {
  return [...letters].reduce((sum, letter) => sum * 26 + letter.charCodeAt(0) - 64, 0);
}

function problemOf({ place, attributes, value, formula }: Cell): RowProblem[] {
  const error = attributes['t'] === 'e';
  if (!error && !(formula && value === undefined)) return [];
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
}
