import { z } from 'zod';
import { pageAnswer } from '../../../platform/http/cursor.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, instantOut, line, note, operationParams } from '../../../platform/wire/common.schema.js';
import { amountIn, decimalOut, moneyOut } from '../../../platform/wire/quantity.schema.js';
import { confirmedOut, confirmQuery } from '../../../platform/wire/confirm.schema.js';
import { HERD_COST_KINDS } from '../../../platform/wire/words.data.js';
import { eventQuery } from '../../kit/day-range.js';
import { postedLateOut, postingFields } from '../../kit/posting.schema.js';
import { CORRECTION_WORDS, correctionIn, correctionOut } from '../../kit/correction.schema.js';
import { reversalIn, reversalOut } from '../../kit/reversal.schema.js';

const kind = z.enum(HERD_COST_KINDS).describe('What it was for');

const herdCost = z
  .object({
    id,
    herdId: id,
    kind,
    happenedOn: day,
    payee: z.string().describe('Whom it was paid to, or is owed to'),
    amount: moneyOut.describe('Below zero for a credit; null for readers without prices').nullable(),
    amountTyped: decimalOut.describe('As it was typed, digit for digit; null for readers without prices').nullable(),
    postedLate: postedLateOut.nullable(),
    confirmed: confirmedOut,
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    reversal: reversalOut.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({
    id: 'HerdCost',
    description: 'What a herd cost besides hay, other feed and yardage; never edited, only reversed',
  });

const params = operationParams.extend({ herdCostId: id });
const tag = 'Costs';

const herdCostBody = z.strictObject({
  herdId: id,
  kind,
  happenedOn: day,
  payee: line(200).describe('Whom it was paid to, or is owed to'),
  amount: amountIn
    .refine((value) => !/^-?[0.]*$/.test(value), 'must not be 0')
    .describe("In the operation's currency; below zero for a credit, which only those who see prices enter"),
  note: note.optional(),
  ...postingFields,
});

export const createHerdCost = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/herd-costs',
  operationId: 'createHerdCost',
  tag,
  access: 'records',
  summary: 'Enter a cost of a herd besides feed and yardage',
  description:
    'A bill of the veterinarian, a hauler, an auction; or a credit (an amount below zero). It counts in the closeout ' +
    'of its herd and in the journal, on its own day.',
  params: operationParams,
  query: z.strictObject(confirmQuery),
  body: herdCostBody,
  answer: herdCost,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/herd-costs/${created.id}`,
  problems: ['period-closed'],
});
export const listHerdCosts = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/herd-costs',
  operationId: 'listHerdCosts',
  tag,
  access: 'read',
  summary: 'Costs of herds besides feed and yardage, newest first',
  params: operationParams,
  query: z.strictObject({ ...eventQuery, herdId: id.optional().describe('Only those of this herd') }),
  answer: pageAnswer(herdCost),
  paged: true,
  register: {},
});
export const getHerdCost = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/herd-costs/:herdCostId',
  operationId: 'getHerdCost',
  tag,
  access: 'read',
  summary: 'One cost of a herd',
  params,
  answer: herdCost,
});
export const correctHerdCost = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/herd-costs/:herdCostId/correction',
  operationId: 'correctHerdCost',
  tag,
  access: 'records',
  summary: 'Correct a cost of a herd in one call',
  description: CORRECTION_WORDS,
  params,
  query: z.strictObject(confirmQuery),
  body: correctionIn(herdCostBody),
  answer: correctionOut(herdCost),
  creates: (made, { operationId }) => `/v1/operations/${operationId}/herd-costs/${made.entry.id}`,
  problems: ['period-closed', 'conflict'],
});
export const reverseHerdCost = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/herd-costs/:herdCostId/reversal',
  operationId: 'reverseHerdCost',
  tag,
  access: 'records',
  summary: 'Reverse a cost of a herd',
  params,
  body: reversalIn,
  answer: reversalOut,
  creates: (_created, { operationId, herdCostId }) => `/v1/operations/${operationId}/herd-costs/${herdCostId}`,
  problems: ['period-closed'],
});
