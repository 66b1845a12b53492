import type { CellObject } from 'write-excel-file/node';
import type { CellType } from './columns.js';
import type { Table } from './endpoint.js';
import type { Remark } from './file-head.js';

/** A spreadsheet keeps at most fifteen digits of a number; a longer one stays text, so that no digit is lost. */
const NUMBER = /^-?(\d+(\.\d+)?|\.\d+)$/;
const DIGITS_MAX = 15;
const DAY = /^\d{4}-\d{2}-\d{2}$/;
const SHEET_NAME_MAX = 31;
const WIDTH = { least: 10, most: 60, measuredRows: 500 } as const;
const ABOUT = 'about';

/**
 * The table as a workbook (Office Open XML), and what is said of it on a second sheet. What a cell is follows from its
 * column: numbers keep their decimals, days are days, the rest is text as written: a text cell is never a formula,
 * whatever it begins with, so unlike in our CSV nothing is put before it.
 */
export async function renderXlsx(table: Table, sheetName: string, remarks: readonly Remark[] = []): Promise<Buffer> {
  // Few requests need it, so it is loaded with the first of them.
  const { default: writeWorkbook } = await import('write-excel-file/node');
  const header = table.columns.map(({ name }): CellObject => ({ ...textCell(name), fontWeight: 'bold' }));
  const cells = table.rows.map((row) => row.map((cell, index) => cellOf(cell, table.columns[index]?.type ?? 'text')));
  const first = {
    data: [header, ...cells],
    sheet: sheetName.slice(0, SHEET_NAME_MAX),
    stickyRowsCount: 1,
    columns: table.columns.map(({ name }, index) => ({ width: widthOf(name, index, table.rows) })),
  };
  const about = {
    data: remarks.map(([what, said]) => [{ ...textCell(what), fontWeight: 'bold' as const }, textCell(said)]),
    sheet: ABOUT,
    columns: [{ width: 24 }, { width: WIDTH.most }],
  };
  return writeWorkbook(remarks.length === 0 ? [first] : [first, about]).toBuffer();
}

function widthOf(column: string, index: number, rows: Table['rows']): number {
  const lengths = rows.slice(0, WIDTH.measuredRows).map((row) => row[index]?.length ?? 0);
  return Math.min(WIDTH.most, Math.max(WIDTH.least, column.length + 2, ...lengths.map((length) => length + 2)));
}

function cellOf(text: string | null, type: CellType): CellObject | null {
  if (text === null) return null;
  if (type === 'day' && DAY.test(text) && !Number.isNaN(Date.parse(`${text}T00:00:00Z`)))
    return { type: Date, value: new Date(`${text}T00:00:00Z`), format: 'yyyy-mm-dd' };
  const decimals = text.split('.')[1]?.length ?? 0;
  if (type === 'number' && NUMBER.test(text) && text.replaceAll(/[-.]/g, '').length <= DIGITS_MAX)
    return { type: Number, value: Number(text), format: decimals === 0 ? '0' : `0.${'0'.repeat(decimals)}` };
  return textCell(text);
}

/**
 * The library looks texts up in a plain object, which already has `constructor` and the like: such a text would come
 * out as the source of a function, and the workbook would not open. So its first letter is written as a code (ECMA-376
 * part 1,
 * 22.9.2.19, ST_Xstring), which a spreadsheet shows as the letter.
 */
function textCell(text: string): CellObject {
  const first = text.charCodeAt(0).toString(16).toUpperCase().padStart(4, '0');
  return { type: String, value: text in {} ? `_x${first}_${text.slice(1)}` : text };
}
