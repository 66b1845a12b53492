import { z } from 'zod';
import { webhookMessage } from '../../platform/http/webhook-message.js';
import { day, id, instantOut } from '../../platform/wire/common.schema.js';
import type { WEBHOOK_KINDS } from '../../platform/wire/words.data.js';

const changes = z
  .string()
  .describe('Where to pull what is new and corrected, from just before this on: GET …/changes with its `since`');
const subject = z.object({
  kind: z.string().describe('Kind of record'),
  id,
  address: z.string().nullable().describe('Where to read it; null where it has no address of its own'),
});
const ofRecords = z
  .object({
    records: z.number().int().describe('Of how many lines of the audit it tells'),
    subjects: z.array(subject).describe('The first 20 of the records'),
    changes,
  })
  .meta({ id: 'RecordsTold', description: 'Which records it is about, and where to pull what they say' });
const ofHay = z
  .object({
    withinDays: z.number().int().describe('The days that the hay is to last, as the webhook asks'),
    runsOutOn: day.describe('First day whose need the yard cannot meet, by the hay budget'),
    address: z.string().describe('The hay budget that says so'),
  })
  .meta({ id: 'LowHayTold', description: 'When the hay runs out, and where to read why' });
const ofNothing = z.object({}).meta({ id: 'NothingTold', description: 'About no record' });

const envelope = <Type extends (typeof WEBHOOK_KINDS)[number], Data extends z.ZodType>(type: Type, data: Data) =>
  z.object({
    id: id.describe('Of this message; the same in the header webhook-id and however often it is sent'),
    type: z.literal(type).describe('What happened'),
    timestamp: instantOut.describe('When it happened'),
    operationId: id,
    since: z.string().nullable().describe('Number to ask /changes with; null where it is about no record'),
    data,
  });

/** What each kind of message says: which records, and never an amount or a name. */
export const MESSAGES = {
  'books.closed': webhookMessage({
    kind: 'books.closed',
    summary: 'A period was closed',
    body: envelope('books.closed', ofRecords),
  }),
  'books.reopened': webhookMessage({
    kind: 'books.reopened',
    summary: 'A closed period was opened again',
    body: envelope('books.reopened', ofRecords),
  }),
  'entries.corrected': webhookMessage({
    kind: 'entries.corrected',
    summary: 'Entries were reversed or corrected',
    body: envelope('entries.corrected', ofRecords),
  }),
  'late_cost.entered': webhookMessage({
    kind: 'late_cost.entered',
    summary: 'A late bill changes what hay has cost',
    body: envelope('late_cost.entered', ofRecords),
  }),
  'hay.low': webhookMessage({
    kind: 'hay.low',
    summary: 'The hay no longer lasts as long as it should',
    body: envelope('hay.low', ofHay),
  }),
  'webhook.tested': webhookMessage({
    kind: 'webhook.tested',
    summary: 'Somebody tries whether messages arrive',
    body: envelope('webhook.tested', ofNothing),
  }),
} as const satisfies Record<(typeof WEBHOOK_KINDS)[number], unknown>;
