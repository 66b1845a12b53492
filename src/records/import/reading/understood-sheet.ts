import { createHash } from 'node:crypto';
import { nameKey } from '../../../core/units/name-key.js';
import { allColumns, type Column, type ColumnFamily, type ColumnSet } from '../columns.js';
import { beginning } from '../../../platform/wire/plain-text.js';
import type { RowProblem } from '../row-problem.js';
import { FILE_BOUNDS } from './file-bounds.data.js';
import { tooLongHeader, tooManyFilled } from './file-measure.js';
import { type HeaderCell, isKnown, mappedHeader } from './column-mapping.js';
import { cellOfColumn, cellOfFamily, type CellRead, type Writing } from './read-cells.js';
import { dayInCell, type DayOrder, orderShownBy } from './read-day.js';
import { keptCells, placeOf, type SpoiltPlaces } from './kept-cells.js';
import { type DecimalMark, markShownBy, numberInCell } from './read-number.js';
import { unitOfWord } from './unit-words.data.js';

/** One row of a file, its cells by column name as they are understood; empty cells are left out. */
export interface FileRow {
  readonly number: number;
  readonly cells: ReadonlyMap<string, string>;
  /** The same cells as they were typed, with the header they stand under and the unit they are in. */
  readonly typed?: ReadonlyMap<
    string,
    { readonly header: string; readonly text: string; readonly unit: string | null }
  >;
}

/** What was left out or read in a way that somebody should know of; it stops nothing. */
export interface Notice {
  readonly row: number | null;
  readonly column: string | null;
  readonly code: string;
  readonly message: string;
}

/** How to read a file, beside what it shows itself. */
export interface ReadingRules {
  readonly set: ColumnSet;
  readonly synonyms: Readonly<Record<string, string>>;
  readonly currency: string;
  /** What was saved for files of a shape. */
  readonly saved: Readonly<Record<string, SavedShape>>;
  readonly dates?: DayOrder | undefined;
  readonly decimals?: DecimalMark | undefined;
}

interface SavedShape {
  /** By the key of a header's text: a column, a group or nothing. */
  readonly columns: Readonly<Record<string, string | null>>;
  readonly dates: DayOrder | null;
  readonly decimals: DecimalMark | null;
}

export interface UnderstoodSheet {
  readonly shape: string | null;
  readonly headerRow: number;
  readonly header: readonly HeaderCell[];
  readonly rows: readonly FileRow[];
  /** Problems of the header, with which no row can be read. */
  readonly headerProblems: readonly RowProblem[];
  readonly rowProblems: readonly RowProblem[];
  readonly notices: readonly Notice[];
  /** What is more than is read of a file; then nothing was made of its rows. */
  readonly beyond: RowProblem | null;
}

type Records = readonly (readonly string[])[];

/**
 * How a figure may be written. `number`: as a number of a workbook, with a point whatever is asked. `between-commas`:
 * with a point too, since commas separate the cells, unless otherwise asked. `either-way`: which of the marks stands
 * before decimals the file has to show. `text-of-workbook`: likewise, but a comma before three digits is taken for one
 * between thousands.
 */
export type FigureWritten = 'number' | 'between-commas' | 'either-way' | 'text-of-workbook';
/** By its row as a spreadsheet counts, and its place in it from 0. */
export type WrittenAt = (row: number, at: number) => FigureWritten;

/** A header stands within so many rows. */
const HEADER_WITHIN = 30;
const TOTAL = /^(?:(?:sub|grand)[\s-]*)?totals?\b[^a-z]*$|^sums?\b[^a-z]*$|^averages?\b[^a-z]*$/i;

/**
 * Makes sense of a sheet as people keep them: titles above the header, other words for columns, units in headers or
 * cells, days and figures as they are written where the sheet is from, total rows. What can be meant in two ways is a
 * problem that says how to tell; what is left out is a notice.
 * @param writtenAt how the figure of a cell may be written
 */
export function understoodSheet(typed: Records, rules: ReadingRules, writtenAt: WrittenAt): UnderstoodSheet {
  const { records, spoilt } = keptCells(typed);
  const found = headerOf(records, rules);
  const nothing = {
    shape: found.shape,
    headerRow: found.row,
    header: found.header,
    rows: [],
    rowProblems: [],
    headerProblems: [],
    notices: [],
    beyond: null,
  };
  const long = found.texts.findIndex((text) => text.length > FILE_BOUNDS.headerLetters);
  if (long !== -1)
    return { ...nothing, header: [], beyond: tooLongHeader(found.row, long + 1, found.texts[long] ?? '') };
  if (found.texts.every((text) => text === '')) return { ...nothing, headerProblems: [noHeader(rules.set)] };
  const filled = filledUnder(records, found.firstUnder);
  if (filled.length > FILE_BOUNDS.rows) return { ...nothing, beyond: tooManyFilled(filled.length) };
  const headerProblems = [...spoiltHeader(found, spoilt), ...problemsOf(found, rules.set)];
  const { data, notices } = dataRows(filled, found, rules.set);
  const writing = writingOf(data, found, rules, writtenAt);
  const rowProblems: RowProblem[] = [];
  const rows = data.flatMap((row) => {
    const read = readRow(row, found, { writing, spoilt, writtenAt });
    rowProblems.push(...read.problems);
    return read.row === undefined ? [] : [read.row];
  });
  return {
    ...nothing,
    rows,
    headerProblems: headerProblems.length === 0 && data.length === 0 ? [noRows(found.row)] : headerProblems,
    rowProblems,
    notices: [
      ...aboveHeader(records, found),
      ...ignoredColumns(found),
      ...notices,
      ...writingNotices(data, found, rules, writing),
    ],
  };
}

/** How many columns the header of a sheet names. */
export function columnsKnown(records: Records, rules: ReadingRules): number {
  return headerOf(records, rules).header.filter(isKnown).length;
}

interface Header {
  /** Its row as a spreadsheet counts. */
  readonly row: number;
  readonly firstUnder: number;
  readonly texts: readonly string[];
  readonly header: readonly HeaderCell[];
  readonly shape: string | null;
  readonly targets: readonly Target[];
}
type Target = { readonly column: Column & { unit?: string } } | { readonly family: ColumnFamily } | undefined;

/** The row that names the most columns; of equals the first. */
function headerOf(records: Records, { set, synonyms, saved }: ReadingRules): Header {
  let best: { row: number; header: HeaderCell[]; texts: readonly string[]; shape: string; known: number } | undefined;
  for (const [at, texts] of records.slice(0, HEADER_WITHIN).entries()) {
    if (texts.every((text) => text === '')) continue;
    const shape = shapeOf(texts);
    const mapping = new Map(Object.entries(saved[shape]?.columns ?? {}));
    const header = mappedHeader(texts, set, synonyms, mapping);
    const known = header.filter(isKnown).length;
    if (best === undefined || known > best.known) best = { row: at + 1, header, texts, shape, known };
  }
  if (best === undefined) return { row: 1, firstUnder: 1, texts: [], header: [], shape: null, targets: [] };
  const units = unitRow(records[best.row], best.texts);
  const texts = units ?? best.texts;
  const shape = units === undefined ? best.shape : shapeOf(texts);
  const mapping = new Map(Object.entries(saved[shape]?.columns ?? {}));
  const header = mappedHeader(texts, set, synonyms, mapping).filter(({ header: text }) => text !== '');
  const byText = new Map(header.map((cell) => [cell.header, cell]));
  return {
    row: best.row,
    firstUnder: best.row + (units === undefined ? 0 : 1),
    texts,
    header,
    shape,
    targets: texts.map((text) => targetOf(byText.get(text), set)),
  };
}

/** A second row of the header with nothing but units: added to the words above it. */
function unitRow(cells: readonly string[] | undefined, texts: readonly string[]): string[] | undefined {
  const filled = cells?.filter((cell) => cell !== '') ?? [];
  const isUnit = (cell: string): boolean =>
    unitOfWord(cell.replace(/^[$€£]\s*/, '').replaceAll(/[()]/g, '')) !== undefined;
  if (cells === undefined || filled.length === 0 || !filled.every(isUnit)) return undefined;
  return texts.map((text, at) =>
    (cells[at] ?? '') === '' ? text : `${text} (${(cells[at] ?? '').replaceAll(/[()]/g, '')})`,
  );
}

/** Files with the same headers are of one shape, whatever their letter case. */
export function shapeOf(texts: readonly string[]): string {
  const last = texts.findLastIndex((text) => text !== '');
  return createHash('sha256')
    .update(JSON.stringify(texts.slice(0, last + 1).map(nameKey)))
    .digest('hex')
    .slice(0, 16);
}

function targetOf(cell: HeaderCell | undefined, set: ColumnSet): Target {
  if (cell === undefined || typeof cell.meant === 'string') return undefined;
  const { meant } = cell;
  if ('family' in meant) {
    const family = set.families.find((one) => one.stem === meant.family);
    return family === undefined ? undefined : { family };
  }
  const column =
    set.plain.find((one) => one.name === meant.column) ??
    set.families.flatMap((one) => one.columns).find((one) => one.name === meant.column);
  return column === undefined ? undefined : { column };
}

interface Row {
  readonly number: number;
  readonly cells: readonly string[];
}

/** Of a million empty rows, none is made. */
function filledUnder(records: Records, from: number): Row[] {
  const filled: Row[] = [];
  for (let at = from; at < records.length; at += 1) {
    const cells = records[at] ?? [];
    if (cells.some((cell) => cell !== '')) filled.push({ number: at + 1, cells });
  }
  return filled;
}

/** The rows that are records, without totals and headers that come again. */
function dataRows(
  filled: readonly Row[],
  { texts, targets }: Header,
  set: ColumnSet,
): { data: Row[]; notices: Notice[] } {
  const notices: Notice[] = [];
  const header = texts.map(nameKey);
  const data = filled.filter(({ number, cells }) => {
    if (header.every((name, at) => nameKey(cells[at] ?? '') === name)) {
      notices.push({
        row: number,
        column: null,
        code: 'header-again',
        message: 'The header comes again; it is left out.',
      });
      return false;
    }
    const word = cells.find((cell) => TOTAL.test(cell));
    const dated = cells.some((cell, at) => cell !== '' && cell !== word && holdsDay(targets[at]));
    if (word === undefined || dated || !set.plain.some((one) => one.holds === 'day')) return true;
    notices.push({
      row: number,
      column: null,
      code: 'total-row',
      message: `The row of "${beginning(word, 100)}" is left out.`,
    });
    return false;
  });
  return { data, notices };
}

function holdsDay(target: Target): boolean {
  return target !== undefined && 'column' in target && target.column.holds === 'day';
}

function holdsNumber(target: Target): boolean {
  return target !== undefined && ('family' in target || ['number', 'whole'].includes(String(target.column.holds)));
}

/** How the file writes figures and days, as asked for or as it shows. */
function writingOf(
  data: readonly Row[],
  { targets, shape }: Header,
  rules: ReadingRules,
  writtenAt: WrittenAt,
): Writing {
  const days = new Set<DayOrder>();
  const marks = new Set<DecimalMark | 'either'>();
  for (const { number: row, cells } of data)
    for (const [at, cell] of cells.entries()) {
      if (cell === '') continue;
      if (holdsDay(targets[at])) {
        const day = dayInCell(cell);
        const order = typeof day === 'object' ? orderShownBy(day) : undefined;
        if (order !== undefined) days.add(order);
      } else if (holdsNumber(targets[at])) {
        const mark = markIn(cell, writtenAt(row, at));
        if (mark !== undefined) marks.add(mark);
      }
    }
  const [order = null] = days;
  const [mark = 'point', other] = [...marks].filter((one) => one !== 'either');
  const saved = shape === null ? undefined : rules.saved[shape];
  const unshown = other !== undefined || (marks.size === 1 && marks.has('either'));
  const shown = { days: days.size === 1 ? order : null, decimals: unshown ? null : mark };
  return {
    currency: rules.currency,
    days: rules.dates ?? saved?.dates ?? shown.days,
    decimals: rules.decimals ?? saved?.decimals ?? shown.decimals,
  };
}

/** Which mark a cell shows; nothing where it could be written in one way only. */
function markIn(cell: string, written: FigureWritten): ReturnType<typeof markShownBy> {
  const number = written === 'number' || written === 'between-commas' ? undefined : numberInCell(cell);
  const mark = number === undefined ? undefined : markShownBy(number.digits);
  return mark === 'either' && written === 'text-of-workbook' && number?.digits.includes(',') === true ? 'point' : mark;
}

function writingNotices(
  data: readonly Row[],
  { targets, shape }: Header,
  rules: ReadingRules,
  { days, decimals }: Writing,
): Notice[] {
  const notices: Notice[] = [];
  const saved = shape === null ? undefined : rules.saved[shape];
  const why = (asked: unknown, kept: unknown): string =>
    asked === undefined
      ? kept === undefined || kept === null
        ? 'as some of them show.'
        : 'as was saved for files of this shape.'
      : 'as was asked.';
  const some = (holds: (target: Target) => boolean, shown: (cell: string) => boolean): boolean =>
    data.some(({ cells }) => cells.some((cell, at) => cell !== '' && holds(targets[at]) && shown(cell)));
  if (days !== null && some(holdsDay, (cell) => typeof dayInCell(cell) === 'object'))
    notices.push({
      row: null,
      column: null,
      code: `days-${days}`,
      message:
        `Days are read with the ${days === 'month-first' ? 'month' : 'day'} first, ` + why(rules.dates, saved?.dates),
    });
  if (decimals === 'comma')
    notices.push({
      row: null,
      column: null,
      code: 'decimals-comma',
      message: 'Figures are read with a decimal comma, ' + why(rules.decimals, saved?.decimals),
    });
  return notices;
}

function readRow(
  { number, cells }: Row,
  { texts, targets }: Header,
  {
    writing: ofFile,
    spoilt,
    writtenAt,
  }: { readonly writing: Writing; readonly spoilt: SpoiltPlaces; readonly writtenAt: WrittenAt },
): { row: FileRow | undefined; problems: RowProblem[] } {
  const problems: RowProblem[] = [];
  const understood = new Map<string, string>();
  const typed = new Map<string, { header: string; text: string; unit: string | null }>();
  for (const [at, cell] of cells.entries()) {
    if (cell === '') continue;
    const header = texts[at] ?? '';
    const target = targets[at];
    if (header === '') problems.push(strayCell(number, at, cell, texts.length));
    if (target === undefined) continue;
    const writing: Writing = writtenAt(number, at) === 'number' ? { ...ofFile, decimals: 'point' } : ofFile;
    const read: CellRead =
      'family' in target ? cellOfFamily(cell, target.family, writing) : cellOfColumn(cell, target.column, writing);
    const column = 'column' in target ? target.column.name : header;
    if (spoilt.has(placeOf(number, at + 1))) problems.push(notPlain(number, column, cell));
    if ('code' in read) {
      problems.push({ row: number, column, ...read, given: beginning(cell, 100) });
      // It stays as it is, so that the other problems of the row are found too.
      if ('column' in target && !understood.has(column)) understood.set(column, cell);
    } else if (!understood.has(read.column)) {
      understood.set(read.column, read.text);
      typed.set(read.column, { header, text: cell, unit: read.unit });
    }
  }
  const row = understood.size === 0 ? undefined : { number, cells: understood, typed };
  return { row, problems };
}

function notPlain(row: number, column: string, cell: string): RowProblem {
  return {
    row,
    column,
    code: 'not-plain-text',
    given: beginning(cell, 100),
    allowed: 'text without control characters, signs that turn the direction of reading, and halves of letters',
    message: 'It holds a sign that is not kept; here U+FFFD stands in its place.',
  };
}

/** Of a column that is left out too, since answers name it. */
function spoiltHeader({ row, firstUnder, texts }: Header, spoilt: SpoiltPlaces): RowProblem[] {
  return texts.flatMap((text, at) =>
    spoilt.has(placeOf(row, at + 1)) || (firstUnder > row && spoilt.has(placeOf(firstUnder, at + 1)))
      ? [notPlain(row, beginning(text, 100), text)]
      : [],
  );
}

function strayCell(row: number, at: number, cell: string, columns: number): RowProblem {
  return {
    row,
    column: null,
    code: 'cell-without-column',
    given: beginning(cell, 100),
    allowed: `at most ${columns} cells, each under a named column`,
    message: `Cell ${at + 1} of row ${row} is under no column.`,
  };
}

function aboveHeader(records: Records, { row }: Header): Notice[] {
  const above = records.slice(0, row - 1).flatMap((cells, at) => (cells.some((cell) => cell !== '') ? [at + 1] : []));
  const [first] = above;
  if (first === undefined) return [];
  return [
    {
      row: first,
      column: null,
      code: 'rows-above-header',
      message: `The header is row ${row}; what stands above it is left out.`,
    },
  ];
}

function ignoredColumns({ header, row }: Header): Notice[] {
  return header.flatMap(({ header: text, meant }) =>
    meant === 'ignored'
      ? [
          {
            row,
            column: beginning(text, 100),
            code: 'column-ignored',
            message: `The column "${beginning(text, 100)}" is left out.`,
          },
        ]
      : [],
  );
}

function problemsOf({ header, row }: Header, set: ColumnSet): RowProblem[] {
  const problems: RowProblem[] = [];
  const names = allColumns(set).map(({ name }) => name);
  const seen = new Map<string, string>();
  const present = new Set<string>();
  for (const { header: text, meant } of header) {
    const given = beginning(text, 100);
    if (meant === 'unclear')
      problems.push({
        row,
        column: given,
        code: 'unknown-column',
        given,
        allowed: `one of ${names.join(', ')}; or save what it means, or that it means nothing, for files of this shape`,
        message: `There is no column "${given}" here; names carry the unit.`,
      });
    if (typeof meant === 'string') continue;
    const name = 'column' in meant ? meant.column : meant.family;
    const earlier = seen.get(name);
    if (earlier !== undefined)
      problems.push({
        row,
        column: name,
        code: 'column-twice',
        given,
        allowed: 'each column once',
        message:
          earlier === text
            ? `The column "${given}" is listed twice.`
            : `"${beginning(earlier, 100)}" and "${given}" are both taken for ${name}.`,
      });
    seen.set(name, text);
    present.add(name);
  }
  return [...problems, ...missingOf(present, row, set)];
}

function missingOf(present: ReadonlySet<string>, row: number, set: ColumnSet): RowProblem[] {
  const missing = (column: string, allowed: string, message: string): RowProblem => ({
    row,
    column,
    code: 'missing',
    given: null,
    allowed,
    message,
  });
  return [
    ...set.plain
      .filter((one) => one.required && !present.has(one.name))
      .map(({ name }) => missing(name, `a column "${name}"`, `The column "${name}" is missing.`)),
    ...set.families
      .filter(
        (one) => one.required && ![one.stem, ...one.columns.map(({ name }) => name)].some((name) => present.has(name)),
      )
      .map((one) => {
        const names = one.columns.map(({ name }) => name);
        return missing(
          names.length === 1 ? (names[0] ?? one.stem) : `${one.stem}_…`,
          `one of ${names.join(', ')}`,
          `A column for ${one.what.toLowerCase()} is missing.`,
        );
      }),
  ];
}

function noHeader(set: ColumnSet): RowProblem {
  return {
    row: 1,
    column: null,
    code: 'no-header',
    given: null,
    allowed: `a first row with names of columns: ${allColumns(set)
      .map(({ name }) => name)
      .join(', ')}`,
    message: 'The first row names no columns.',
  };
}

function noRows(header: number): RowProblem {
  return {
    row: header + 1,
    column: null,
    code: 'no-rows',
    given: null,
    allowed: 'at least one row under the header',
    message: 'The file has a header and nothing under it.',
  };
}
