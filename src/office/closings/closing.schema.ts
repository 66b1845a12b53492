import { z } from 'zod';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, instantOut, note, operationParams, reason } from '../../platform/wire/common.schema.js';
import { unitSystem, unitsQuery } from '../../platform/wire/quantity.schema.js';
import { CLOSED_REPORTS } from '../../platform/wire/words.data.js';

const sha256 = z
  .string()
  .regex(/^[0-9a-f]{64}$/)
  .describe('SHA-256 of the stored report');
const reportName = z.enum(CLOSED_REPORTS).describe('Name of the report, as in its address');

export const closingOut = z
  .object({
    id,
    from: day.describe('First day, included'),
    until: day.describe('Last day, included'),
    costingMethod: z.string().describe('How hay was valued when it was closed'),
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    closedAt: instantOut,
    closedBy: id,
    reopening: z
      .object({
        reason: z.string().describe('Why it was done, in the words of the person'),
        reopenedAt: instantOut,
        reopenedBy: id,
      })
      .nullable(),
    reports: z
      .array(z.object({ name: reportName, units: unitSystem.describe('Units of the report'), sha256 }))
      .describe('Stored reports; empty for readers without prices'),
  })
  .meta({ id: 'BookClosing', description: 'A closed period of the hay books' });

const params = operationParams.extend({ closingId: id });
const tag = 'Accounting';

export const closeBooks = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/closings',
  operationId: 'closeBooks',
  tag,
  access: 'office',
  summary: 'Close the books up to a day',
  description:
    'From the day after the last closing (or the first day in the books). Its reports are stored and read the ' +
    'same from then on, among them the closeout of each lot whose last cattle left in the period, over all the days ' +
    'of the lot, and of each herd over the period; ' +
    'nothing can be dated on or before that day any more: the database refuses it.',
  params: operationParams,
  body: z.strictObject({ until: day.describe('Last day of the period, which must be over'), note: note.optional() }),
  answer: closingOut,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/closings/${created.id}`,
});
export const listClosings = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/closings',
  operationId: 'listClosings',
  tag,
  access: 'read',
  summary: 'Closed periods, newest first',
  params: operationParams,
  query: z.strictObject(pageQuery),
  answer: pageAnswer(closingOut),
  paged: true,
});
export const getClosing = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/closings/:closingId',
  operationId: 'getClosing',
  tag,
  access: 'read',
  summary: 'One closed period',
  params,
  answer: closingOut,
});
export const reopenBooks = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/closings/:closingId/reopening',
  operationId: 'reopenBooks',
  tag,
  access: 'office',
  summary: 'Open the last closed period again',
  description:
    'Needs a reason, which is kept. The stored reports are kept too, but the report addresses no longer ' +
    'answer with them.',
  params,
  body: z.strictObject({ reason }),
  answer: closingOut,
  onlyOnce: true,
});
export const getClosedReport = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/closings/:closingId/reports/:name',
  operationId: 'getClosedReport',
  tag,
  access: 'prices',
  summary: 'A stored report of a closed period',
  params: params.extend({ name: reportName }),
  query: z.strictObject(unitsQuery),
  answer: z
    .object({
      closingId: id,
      name: reportName,
      units: unitSystem.describe('Units of the report'),
      sha256,
      body: z.string().describe('The report as JSON, exactly as it was stored; the SHA-256 is that of this text'),
    })
    .meta({ id: 'ClosedReport', description: 'A stored report' }),
});
