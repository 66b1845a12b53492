import { gunzipSync } from 'node:zlib';
import { printedWords } from '../support/printed-words.js';
import type { NormalText } from './normal-text.js';
import { sheetsOf } from './workbook.js';

/**
 * A body as it is recorded: JSON as it is, text as text, the cells of a workbook, the words of a PDF, the lines of an
 * archive.
 */
export function bodyOf(bytes: Buffer, mediaType: string, normal: NormalText): unknown {
  if (bytes.length === 0) return null;
  if (mediaType.endsWith('json')) return JSON.parse(normal.of(bytes.toString('utf8'))) as unknown;
  if (mediaType === 'application/pdf') return { pdf: normal.of(printedWords(bytes)) };
  if (mediaType.endsWith('spreadsheetml.sheet'))
    return JSON.parse(normal.of(JSON.stringify({ sheets: sheetsOf(bytes) }))) as unknown;
  if (mediaType === 'application/gzip') {
    const text = normal.of(gunzipSync(bytes).toString('utf8'));
    return {
      lines: text
        .split('\n')
        .filter((line) => line !== '')
        .map((line) => JSON.parse(line) as unknown),
    };
  }
  return normal.of(bytes.toString('utf8'));
}
