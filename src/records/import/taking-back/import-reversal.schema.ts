import { z } from 'zod';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, instantOut, operationParams } from '../../../platform/wire/common.schema.js';
import { reversalIn } from '../../kit/reversal.schema.js';

export const importReversalOut = z
  .object({
    id: id.describe('Id of the reversal'),
    importId: id.describe('Id of the import that was taken back'),
    reason: z.string().describe('Why it was taken back'),
    effectiveOn: day
      .describe('Day on which the effects of all its records are undone; null: of each on its own day')
      .nullable(),
    recordCount: z.number().int().describe('Records that were reversed with it; those reversed before do not count'),
    recordedAt: instantOut.describe('When the reversal was entered'),
    recordedBy: id.describe('Person who entered the reversal'),
  })
  .meta({ id: 'ImportReversal', description: 'That an import was taken back as a whole: when, by whom and why' });

export const reverseImport = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/imports/:importId/reversal',
  operationId: 'reverseImport',
  tag: 'Import',
  access: 'daily',
  summary: 'Take back an import',
  description:
    'Reverses every record of the file that still stands, each by a reversal of its own, all of them or none. It ' +
    'needs the permission that the records need one by one. Where something entered later rests on them, or a day is ' +
    'in a closed period, nothing is reversed and `errors` names it with the rows that it rests on. Afterward the ' +
    'same file can be entered again. Lots that the file began stay, empty.',
  params: operationParams.extend({ importId: id }),
  body: reversalIn,
  answer: importReversalOut,
  creates: (_reversal, { operationId, importId }) => `/v1/operations/${operationId}/imports/${importId}`,
  problems: ['import-not-reversed'],
});
