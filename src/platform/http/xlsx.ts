import type { Table } from './endpoint.js';
import { defused } from './csv.js';

/**
 * Numbers that a spreadsheet keeps exactly: at most fifteen digits, and no long whole numbers, which are tags and not
 * amounts.
 */
const NUMBER = /^-?(0|[1-9]\d*)(\.\d+)?$/;
const DIGITS_MAX = 15;
const TAG_DIGITS = 12;
const DAY = /^\d{4}-\d{2}-\d{2}$/;
const SHEET_NAME_MAX = 31;

/**
 * The table as a workbook of one sheet (Office Open XML). Numbers are numbers with the decimals they came with, days
 * are days, the rest is text; no cell is ever a formula, and a text that would become one when the sheet is saved as
 * CSV is made plain, as in our own CSV.
 */
export async function writeXlsx(table: Table, sheetName: string): Promise<Buffer> {
  // A large library that few requests need: loaded with the first of them.
  const { default: excel } = await import('exceljs');
  const workbook = new excel.Workbook();
  const sheet = workbook.addWorksheet(sheetName.slice(0, SHEET_NAME_MAX), { views: [{ state: 'frozen', ySplit: 1 }] });
  sheet.addRow(table.columns.map(defused)).font = { bold: true };
  for (const row of table.rows) {
    const written = sheet.addRow([]);
    row.forEach((text, index) => {
      const { value, format } = cellOf(text);
      if (value === null) return;
      const cell = written.getCell(index + 1);
      cell.value = value;
      if (format !== undefined) cell.numFmt = format;
    });
  }
  table.columns.forEach((column, index) => {
    sheet.getColumn(index + 1).width = Math.min(
      60,
      Math.max(10, column.length + 2, ...table.rows.slice(0, 500).map((row) => (row[index]?.length ?? 0) + 2)),
    );
  });
  return Buffer.from(await workbook.xlsx.writeBuffer());
}

function cellOf(text: string | null): { value: string | number | Date | null; format?: string } {
  if (text === null) return { value: null };
  if (DAY.test(text) && !Number.isNaN(Date.parse(`${text}T00:00:00Z`)))
    return { value: new Date(`${text}T00:00:00Z`), format: 'yyyy-mm-dd' };
  const digits = text.replaceAll(/[-.]/g, '').length;
  const decimals = text.split('.')[1]?.length ?? 0;
  if (NUMBER.test(text) && digits <= DIGITS_MAX && (decimals > 0 || digits < TAG_DIGITS))
    return { value: Number(text), format: decimals === 0 ? '0' : `0.${'0'.repeat(decimals)}` };
  return { value: defused(text) };
}
