import { z } from 'zod';
import { pageAnswer } from '../../../platform/http/cursor.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, instantOut, line, note, operationParams } from '../../../platform/wire/common.schema.js';
import { confirmedOut, confirmQuery } from '../../../platform/wire/confirm.schema.js';
import { amountIn, moneyAsTyped, moneyOut } from '../../../platform/wire/quantity.schema.js';
import { eventQuery } from '../../kit/day-range.js';
import { CORRECTION_WORDS, correctionIn, correctionOut } from '../../kit/correction.schema.js';
import { reversalIn, reversalOut } from '../../kit/reversal.schema.js';
import { postedLateOut, postingFields } from '../../kit/posting.schema.js';
import { LATE_COSTS_OWED } from '../../../platform/wire/words.data.js';
import { RECEIPT_KINDS } from '../../../platform/wire/record-kinds.data.js';

const receipt = z.strictObject({ kind: z.enum(RECEIPT_KINDS).describe('What the bill belongs to'), id });
const owed = z.enum(LATE_COSTS_OWED).describe('What the bill is for');

const lateCostOut = z
  .object({
    id,
    receipt: z.object({ kind: z.enum(RECEIPT_KINDS).describe('What the bill belongs to'), id }),
    hayLotId: id,
    billedOn: day,
    owed,
    biller: z.string().describe('Sender of the bill'),
    amount: moneyOut.describe('Below zero for a credit; null for readers without prices').nullable(),
    amountTyped: moneyAsTyped,
    postedLate: postedLateOut.nullable(),
    confirmed: confirmedOut,
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    reversal: reversalOut.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'LateCost', description: 'A bill that came after the hay it belongs to' });

/** The correction of what brought hay, with the bills that went along. */
export const receiptCorrectionOut = <Receipt extends z.ZodType>(receipt: Receipt) =>
  correctionOut(receipt).extend({
    billsMoved: z
      .array(correctionOut(lateCostOut))
      .describe('Later bills that stood on it: each was reversed and entered again for what was entered in its place'),
  });

export const RECEIPT_CORRECTION_WORDS =
  `${CORRECTION_WORDS} Later bills that stand on it go along: each is reversed and entered again, with its day and ` +
  'its amount as typed, for what is right.';

const params = operationParams.extend({ lateCostId: id });
const tag = 'Hay books';

const lateCostBody = z.strictObject({
  receipt,
  billedOn: day,
  owed,
  biller: line(200).describe('Sender of the bill'),
  amount: amountIn.describe(
    "In the operation's currency; below zero for a credit, which only those who see prices enter",
  ),
  note: note.optional(),
  ...postingFields,
});

export const createLateCost = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/late-costs',
  operationId: 'createLateCost',
  tag,
  access: 'records',
  summary: 'Enter a bill that came later',
  description:
    'Freight, another charge, or a credit (an amount below zero) for a purchase or a harvest. The share of the ' +
    'hay that is still there takes its share of the bill; what belongs to hay already fed or sold is a ' +
    'variance. It counts at the end of its day.',
  query: z.strictObject(confirmQuery),
  params: operationParams,
  body: lateCostBody,
  answer: lateCostOut,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/late-costs/${created.id}`,
  problems: ['period-closed', 'conflict'],
});
export const listLateCosts = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/late-costs',
  operationId: 'listLateCosts',
  tag,
  access: 'read',
  summary: 'Bills that came later, newest first',
  params: operationParams,
  query: z.strictObject({ ...eventQuery, receiptId: id.optional().describe('Only those of this receipt') }),
  answer: pageAnswer(lateCostOut),
  paged: true,
  register: {},
});
export const getLateCost = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/late-costs/:lateCostId',
  operationId: 'getLateCost',
  tag,
  access: 'read',
  summary: 'One later bill',
  params,
  answer: lateCostOut,
});
export const correctLateCost = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/late-costs/:lateCostId/correction',
  operationId: 'correctLateCost',
  tag,
  access: 'records',
  summary: 'Correct a later bill in one call',
  description: CORRECTION_WORDS,
  params,
  query: z.strictObject(confirmQuery),
  body: correctionIn(lateCostBody),
  answer: correctionOut(lateCostOut),
  creates: (made, { operationId }) => `/v1/operations/${operationId}/late-costs/${made.entry.id}`,
  problems: ['period-closed', 'conflict'],
});
export const reverseLateCost = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/late-costs/:lateCostId/reversal',
  operationId: 'reverseLateCost',
  tag,
  access: 'records',
  summary: 'Reverse a later bill',
  params,
  body: reversalIn,
  answer: reversalOut,
  creates: (_created, { operationId, lateCostId }) => `/v1/operations/${operationId}/late-costs/${lateCostId}`,
  problems: ['period-closed'],
});
