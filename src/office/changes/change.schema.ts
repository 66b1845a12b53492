import { z } from 'zod';
import { MOVEMENT_KIND_CODES } from '../../core/stock/movement-kinds.data.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, instantOut, operationParams, wholeNumber } from '../../platform/wire/common.schema.js';
import { massOut, unitsQuery } from '../../platform/wire/quantity.schema.js';
import { CHANGED_KIND_CODES } from './changed-kinds.data.js';

const CHANGES_MOST = 500;
/** As far as a chain can count. */
const SEQUENCE = /^\d{1,15}$/;

const movement = z
  .object({
    id,
    kind: z.enum(MOVEMENT_KIND_CODES).describe('What moved the hay'),
    effectiveOn: day,
    hayLotId: id,
    hayKind: z.string().describe('Kind of hay or feed'),
    change: massOut.describe('Change of the balance: in above zero, out below'),
    herdId: id.nullable(),
    reversesId: id.nullable().describe('Movement that it reverses'),
  })
  .meta({ id: 'ChangedMovement', description: 'A line of the hay ledger that came with a change' });
const change = z
  .object({
    sequence: z.string().describe('Place in the order in which changes were committed; others may lie between'),
    recordedAt: instantOut,
    what: z
      .enum(['new', 'correction', 'corrected', 'changed'])
      .describe(
        'A new record, one that was entered in place of another, one that was reversed, or one whose name or ' +
          'settings changed',
      ),
    kind: z.enum(CHANGED_KIND_CODES).describe('Kind of record'),
    recordIds: z.array(id).describe('The record; both sides of a move of cattle'),
    addresses: z.array(z.string()).describe('Where to read it; empty where it has no address of its own'),
    correctsId: id.nullable().describe('Of a correction, the record that it was entered in place of'),
    reversalId: id.nullable().describe('Reversal by which it was corrected'),
    movements: z.array(movement).describe('Lines of the hay ledger that came with it, restated counts among them'),
    journalFrom: day
      .nullable()
      .describe('Entries and yardage from this day on may read otherwise than before: pull them again; null for none'),
    journalKinds: z.array(z.string()).describe('Kinds of hay or feed whose entries may; empty for all, or for yardage'),
  })
  .meta({ id: 'RecordChange', description: 'What was entered, corrected or changed in one go' });

export const getChanges = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/changes',
  operationId: 'getChanges',
  tag: 'Reports',
  access: 'read',
  summary: 'What is new or corrected since a number',
  description:
    'For a pull that takes only the news: registers, movements, and from which day the journal may read otherwise. ' +
    'Keep `next` and ask with it as `since` the next time. Numbers follow the order of commits within the operation, ' +
    'so that nothing that commits while a pull runs is missed. What is told says which records, not what they say.',
  params: operationParams,
  query: z.strictObject({
    since: z
      .string()
      .regex(SEQUENCE, 'must be a number of this list, or 0')
      .default('0')
      .describe('`next` of the pull before; 0 for everything'),
    limit: wholeNumber(1, CHANGES_MOST)
      .prefault(CHANGES_MOST)
      .meta({ description: `Changes at a time, 1 to ${CHANGES_MOST}` }),
    ...unitsQuery,
  }),
  answer: z
    .object({
      items: z.array(change),
      next: z.string().describe('To ask with as `since` next time'),
      more: z.boolean().describe('Whether there is more already: ask again at once'),
    })
    .meta({ id: 'RecordChanges', description: 'Changes in the order in which they were committed' }),
});
