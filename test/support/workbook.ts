import { unzipSync } from 'fflate';
import readWorkbook from 'read-excel-file/node';

/** A workbook of one table, and of what is said of it, read by a library other than the one that wrote it. */
export interface ReadWorkbook {
  sheet: string;
  /** The cells of each row: text, number, day; null where empty. */
  rows: unknown[][];
  /** The rows of the second sheet: what is said, and of what; none where there is no such sheet. */
  about: [string, string][];
  /** Cells that would compute something (`<f>`, ECMA-376 part 1, 18.3.1.40). */
  formulas: number;
}

export async function workbookOf(bytes: Uint8Array): Promise<ReadWorkbook> {
  const sheets = await readWorkbook(Buffer.from(bytes));
  const [only, about] = sheets;
  if (only === undefined || sheets.length > 2) throw new Error(`A workbook of ${sheets.length} sheets`);
  const files = unzipSync(bytes);
  const cells = Object.entries(files).filter(([name]) => name.startsWith('xl/worksheets/sheet'));
  const formulas = cells.reduce(
    (sum, [, content]) => sum + (new TextDecoder().decode(content).match(/<f[ >]/g)?.length ?? 0),
    0,
  );
  return { sheet: only.sheet, rows: only.data, about: (about?.data ?? []) as [string, string][], formulas };
}
