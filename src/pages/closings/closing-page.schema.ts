import { z } from 'zod';
import { closingOut } from '../../office/closings/closing.schema.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, note, operationParams } from '../../platform/wire/common.schema.js';

const base = {
  tag: 'Pages',
  browser: true,
  access: 'office',
  path: '/yard/operations/:operationId/closings',
  params: operationParams,
} as const;

const answer = z.object({
  operationId: id,
  operation: z.string(),
  today: day,
  /** The day as typed, which need not be one that can be closed. */
  until: z.string(),
  note: z.string(),
  problem: z.string().nullable(),
  /** Asked whether it is meant: what would be closed is shown with the button that does it. */
  sure: z.boolean(),
  /** The first day that is open; null where nothing was ever closed. */
  openFrom: day.nullable(),
  made: closingOut.nullable(),
  closings: z.array(closingOut),
});

export const closingsPage = endpoint({
  ...base,
  method: 'GET',
  operationId: 'closingsPage',
  summary: 'Closed periods, and closing one',
  query: z.strictObject({ until: day.optional(), note: note.optional() }),
  answer,
  alsoAs: ['html'],
});
/** Answers with the page itself: what was closed, or why it cannot be, with what was typed. */
export const closeBooksByForm = endpoint({
  ...base,
  method: 'POST',
  bodyType: 'application/x-www-form-urlencoded',
  status: 200,
  operationId: 'closeBooksByForm',
  summary: 'Close the books up to a day',
  body: z.strictObject({ until: day, note: note.optional(), sure: z.literal('yes') }),
  answer,
  alsoAs: ['html'],
});
