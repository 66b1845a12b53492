import { gunzipSync } from 'node:zlib';
import ExcelJS from 'exceljs';
import { printedWords } from '../support/printed-words.js';
import type { NormalText } from './normal-text.js';

/** A body as it is recorded: JSON as it is, text as text, of a workbook its cells, of a PDF its words, of an archive its lines. */
export async function bodyOf(bytes: Buffer, mediaType: string, normal: NormalText): Promise<unknown> {
  if (bytes.length === 0) return null;
  if (mediaType.endsWith('json')) return JSON.parse(normal.of(bytes.toString('utf8'))) as unknown;
  if (mediaType === 'application/pdf') return { pdf: normal.of(printedWords(bytes)) };
  if (mediaType.endsWith('spreadsheetml.sheet')) return JSON.parse(normal.of(JSON.stringify(await cellsOf(bytes)))) as unknown;
  if (mediaType === 'application/gzip') {
    const text = normal.of(gunzipSync(bytes).toString('utf8'));
    return { lines: text.split('\n').filter((line) => line !== '').map((line) => JSON.parse(line) as unknown) };
  }
  return normal.of(bytes.toString('utf8'));
}

async function cellsOf(bytes: Buffer): Promise<unknown> {
  const book = new ExcelJS.Workbook();
  await book.xlsx.load(bytes as unknown as Parameters<typeof book.xlsx.load>[0]);
  return { sheets: book.worksheets.map((sheet) => {
    const rows: unknown[] = [];
    sheet.eachRow((row) => rows.push((row.values as unknown[]).slice(1).map((cell) => cell ?? null)));
    return { name: sheet.name, rows };
  }) };
}
