import { z } from 'zod';
import { pageAnswer } from '../../platform/http/cursor.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, instantOut, operationParams } from '../../platform/wire/common.schema.js';
import { confirmedReason } from '../../platform/wire/confirm.schema.js';
import { RECORD_KIND_CODES } from '../../platform/wire/record-kinds.data.js';
import { eventQuery } from '../kit/day-range.js';

const kind = z.enum(['head-change', ...RECORD_KIND_CODES]).describe('What kind of record it is');

const confirmedEntry = confirmedReason
  .extend({
    id,
    record: z.object({ kind, id }).describe('The record that was entered all the same'),
    on: day.describe('The day of the record'),
    reversed: z.boolean().describe('True if the record was reversed since'),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'ConfirmedEntry', description: 'What was unlikely of an entry and was confirmed by whoever entered it' });

export const listConfirmedEntries = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/confirmed-entries',
  operationId: 'listConfirmedEntries',
  tag: 'Confirmed entries',
  access: 'read',
  summary: 'What was unlikely and was confirmed, newest first',
  description: 'By the day of the record. What is about a price shows to whoever sees prices.',
  params: operationParams,
  query: z.strictObject({
    ...eventQuery,
    kind: kind.optional().describe('Only those of records of this kind'),
    code: z
      .string()
      .max(100)
      .regex(/^[a-z0-9-]+$/, 'must be a code, as price-unusual')
      .optional()
      .describe('Only those for this reason'),
  }),
  answer: pageAnswer(confirmedEntry),
  paged: true,
  register: {},
});
