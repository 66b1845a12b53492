import { z } from 'zod';
import { feedSheetOut } from '../../../desk/feed-sheets/feed-sheet.schema.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, operationParams } from '../../../platform/wire/common.schema.js';
import { enteredShown } from '../entry/form.schema.js';

export const todayPage = endpoint({
  tag: 'Pages',
  browser: true,
  method: 'GET',
  path: '/yard/operations/:operationId/today',
  operationId: 'todayPage',
  access: 'read',
  summary: 'All sheets of a day, each to be confirmed, and what else is entered in the yard',
  params: operationParams,
  query: z.strictObject({ on: day.optional(), fed: id.optional() }),
  answer: z.object({
    operationId: id,
    operation: z.string(),
    invented: z.boolean(),
    onDay: day,
    today: day,
    /** Who may enter feedings, and who may enter what changes the books. */
    mayFeed: z.boolean(),
    mayRecord: z.boolean(),
    /** Begins the keys of the forms of this page. */
    once: z.string(),
    by: id,
    sheets: z.array(feedSheetOut),
    withoutPlace: z.array(z.string()),
    fed: enteredShown.nullable(),
  }),
  alsoAs: ['html'],
});
