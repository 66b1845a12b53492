import { z } from 'zod';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, operationParams } from '../../platform/wire/common.schema.js';
import { moneyOut } from '../../platform/wire/quantity.schema.js';
import { period, reportHead } from '../report.schema.js';

const side = moneyOut.describe('Amount on this side; 0.00 where the line is on the other side');
const KINDS = ['in', 'out', 'death', 'sale', 'move-in', 'move-out', 'herd-cost'] as const;

const entry = z
  .object({
    entryId: id.describe('Id of the head change, of the cost, or of the reversal'),
    on: day,
    kind: z.enum(KINDS).describe('What happened, by its code; of a reversal, what it undoes'),
    reversesId: id.nullable().describe('Id of the entry that it reverses; null if it reverses none'),
    party: z.string().nullable().describe('Whom it was paid to or received from; null if not said'),
    memo: z.string().nullable().describe('What was noted; null if nothing was'),
    lines: z.array(
      z.object({
        account: z.string().describe('Role of the account'),
        accountNumber: z.string().describe("The operation's own number"),
        accountName: z.string().describe("The operation's own name"),
        debit: side,
        credit: side,
        herdId: id.describe('The herd that the money is about'),
        herd: z.string().describe('Name of the herd'),
      }),
    ),
  })
  .meta({ id: 'CattleJournalEntry', description: 'One double entry of cattle: its debits and credits are equal' });

export const getCattleJournal = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/cattle-journal',
  operationId: 'getCattleJournal',
  tag: 'Accounting',
  access: 'prices',
  summary: 'Journal of cattle and of the costs of herds, oldest first',
  description:
    "Balanced double entry of every priced head change and every cost of a herd, with the operation's own accounts. " +
    'A move debits one herd and credits the other on the same account. What was reversed as of its own day has no ' +
    'posting. The hay books have a journal of their own. Bought cattle are a cost when they come; what of them still ' +
    'stands, and for how much, the general ledger and the year-end inventory say in their flags.',
  params: operationParams,
  query: z.strictObject({
    ...pageQuery,
    from: day.optional().describe('First day; the beginning of the books if left out'),
    until: period.until,
    herdId: id.optional().describe('Only entries with a line of this herd'),
  }),
  answer: z
    .object({
      operationId: reportHead.operationId,
      operation: reportHead.operation,
      invented: reportHead.invented,
      currency: reportHead.currency,
      method: reportHead.method,
      flags: reportHead.flags,
      from: day.nullable().describe('First day; null for the beginning of the books'),
      until: period.until,
      ...pageAnswer(entry).shape,
    })
    .meta({ id: 'CattleJournalPage', description: 'One page of the double entries of cattle and of costs of herds' }),
  paged: true,
  register: { lines: ['lines'] },
});
