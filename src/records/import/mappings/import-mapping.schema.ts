import { z } from 'zod';
import { pageAnswer, pageQuery } from '../../../platform/http/cursor.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { id, instantOut, operationParams } from '../../../platform/wire/common.schema.js';
import { isPlainText } from '../../../platform/wire/plain-text.js';
import { emailNote, emailNoteOut } from '../../../platform/wire/unproven-address.schema.js';
import { FILE_BOUNDS } from '../reading/file-bounds.data.js';
import type { ImportMappingRow } from './import-mapping.read.js';
import { DAY_ORDERS, DECIMAL_MARKS, IMPORT_KINDS } from '../../../platform/wire/words.data.js';

const tag = 'Import';
const kind = z.enum(IMPORT_KINDS).describe('Kind of file: which records its rows hold');
const headerText = z.string().max(FILE_BOUNDS.headerLetters).refine(isPlainText, 'must be plain text');
const column = z
  .string()
  .max(100)
  .nullable()
  .describe('Column, or the group of columns whose unit each cell carries; null: it means nothing here');
export const datesWritten = z
  .enum(DAY_ORDERS)
  .describe('Whether the month or the day comes first in days such as 11/12/2025');
export const decimalsWritten = z
  .enum(DECIMAL_MARKS)
  .describe('Whether a point or a comma stands before decimals; the other one may stand between thousands');
export const shapeOut = z
  .string()
  .describe('Digest of the headers: files with the same headers are of one shape, whatever their letter case');

const savedByName = z.string().describe('Name of who saved it; null where you may not see people').nullable();
const mappingOut = z
  .object({
    id,
    kind,
    shape: shapeOut,
    header: z.array(z.string()).describe('The headers of such a file, from left to right'),
    columns: z
      .array(z.object({ header: z.string().describe('Text of the header'), column }))
      .describe('What was said of single headers; the others are found out as usual'),
    dates: datesWritten.nullable(),
    decimals: decimalsWritten.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
    recordedByName: savedByName,
    recordedByNote: emailNoteOut,
    endedAt: instantOut.describe('When it was ended; null if it was not').nullable(),
    endedBy: id.describe('Id of the person who ended it; null if it was not').nullable(),
  })
  .meta({
    id: 'ImportMapping',
    description: 'What the headers of files of one kind and shape mean; the newest holds, unless it was ended',
  });
/** Which saved reading a file was read by, and whose word that is. */
export const readingUsed = z
  .object({
    id,
    recordedAt: instantOut,
    recordedBy: id,
    recordedByName: savedByName,
    recordedByNote: emailNoteOut,
  })
  .meta({ id: 'ReadingUsed', description: 'The saved reading by which a file was read, and who saved it' });

export function savedByNote(row: ImportMappingRow): string | null {
  return emailNote(row.recorded_by_name === null || row.recorded_by_proven_at !== null, 'acted');
}

export function readingAnswer(row: ImportMappingRow | undefined): z.output<typeof readingUsed> | null {
  return row === undefined
    ? null
    : {
        id: row.id,
        recordedAt: row.recorded_at,
        recordedBy: row.recorded_by,
        recordedByName: row.recorded_by_name,
        recordedByNote: savedByNote(row),
      };
}

export const createImportMapping = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/import-mappings',
  operationId: 'createImportMapping',
  tag,
  access: 'daily',
  summary: 'Say what the headers of a file mean',
  description:
    'It holds for all later files of this kind with the same headers, whoever sends them, until another is saved for ' +
    'them or it is ended. A check of the file proposes the columns and shows what is in force.',
  params: operationParams,
  body: z.strictObject({
    kind,
    header: z.array(headerText).min(1).max(FILE_BOUNDS.columns).describe('All headers of the file, from left to right'),
    columns: z
      .array(z.strictObject({ header: headerText.describe('Text of the header'), column }))
      .max(FILE_BOUNDS.columns)
      .default([])
      .describe('What single headers mean; those left out are found out as usual'),
    dates: datesWritten.optional(),
    decimals: decimalsWritten.optional(),
  }),
  answer: mappingOut,
  creates: (made, { operationId }) => `/v1/operations/${operationId}/import-mappings/${made.id}`,
});
export const listImportMappings = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/import-mappings',
  operationId: 'listImportMappings',
  tag,
  access: 'read',
  summary: 'What headers of files were said to mean, newest first',
  params: operationParams,
  query: z.strictObject({ ...pageQuery, kind: kind.optional().describe('Only those of this kind of file') }),
  answer: pageAnswer(mappingOut),
  paged: true,
});
export const getImportMapping = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/import-mappings/:importMappingId',
  operationId: 'getImportMapping',
  tag,
  access: 'read',
  summary: 'What the headers of a file were said to mean',
  params: operationParams.extend({ importMappingId: id }),
  answer: mappingOut,
});
export const endImportMapping = endpoint({
  method: 'DELETE',
  path: '/v1/operations/:operationId/import-mappings/:importMappingId',
  operationId: 'endImportMapping',
  tag,
  access: 'daily',
  status: 204,
  summary: 'End what the headers of a file were said to mean',
  description:
    'Whoever may send such files may. From then on nothing that was saved holds for files with these headers, not ' +
    'even what was saved before it. It can still be read, for the files that were read by it.',
  params: operationParams.extend({ importMappingId: id }),
});
