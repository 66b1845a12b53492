import { z } from 'zod';
import { pageAnswer } from '../../../platform/http/cursor.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, instantOut, line, note, operationParams } from '../../../platform/wire/common.schema.js';
import { confirmedOut, entryQuery } from '../../../platform/wire/confirm.schema.js';
import { decimalOut, moneyOut, typedMassOut, unitsQuery } from '../../../platform/wire/quantity.schema.js';
import { eventQuery } from '../../kit/day-range.js';
import { ticketNumber, ticketNumberOut, ticketPrice } from '../purchases/ticket.schema.js';
import { CORRECTION_WORDS, correctionIn, correctionOut, correctionQuery } from '../../kit/correction.schema.js';
import { reversalIn, reversalOut } from '../../kit/reversal.schema.js';
import { confirmedCount } from '../stock-counts/stock-count.schema.js';
import { drawnQuantity, drawnQuantityOut } from '../stock/drawn-quantity.js';
import { heldCountsOut, stockReversalOut } from '../stock/held-counts.schema.js';
import { postedLateOut, postingFields } from '../../kit/posting.schema.js';
import { PRICE_BASES } from '../../../platform/wire/words.data.js';

const haySaleOut = z
  .object({
    id,
    hayLotId: id,
    buyer: z.string().describe('Name of the buyer of the hay'),
    ticketNumber: ticketNumberOut,
    soldOn: day,
    baleCount: decimalOut.describe('Number of bales; null if they were not counted').nullable(),
    weight: typedMassOut.describe('Weight sold, as fed'),
    quantityTyped: drawnQuantityOut,
    price: z
      .object({
        basis: z.enum(PRICE_BASES).describe('How it was priced'),
        amount: decimalOut.describe('The figure as it was typed, digit for digit'),
        per: z.string().describe('Unit of mass, bale, or lot'),
      })
      .describe('Null for readers without prices')
      .nullable(),
    proceeds: moneyOut.nullable(),
    countId: id.describe('Id of the count that was confirmed with it; null if there was none').nullable(),
    postedLate: postedLateOut.nullable(),
    confirmed: confirmedOut,
    heldCounts: heldCountsOut,
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    reversal: reversalOut.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'HaySale', description: 'Hay sold out of a lot; never edited, only reversed' });

const params = operationParams.extend({ haySaleId: id });
const tag = 'Hay books';

const haySaleBody = z.strictObject({
  hayLotId: id,
  buyer: line(200).describe('Name of the buyer of the hay'),
  ticketNumber: ticketNumber.optional(),
  soldOn: day,
  quantity: drawnQuantity,
  price: ticketPrice,
  confirmedCount: confirmedCount.optional(),
  note: note.optional(),
  ...postingFields,
});

export const createHaySale = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/hay-sales',
  operationId: 'createHaySale',
  tag,
  access: 'records',
  summary: 'Enter hay sold',
  description: 'Draws the hay from the lot; refused if it has too little, unless a count is confirmed with it.',
  params: operationParams,
  query: z.strictObject(entryQuery),
  body: haySaleBody,
  answer: haySaleOut,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/hay-sales/${created.id}`,
  problems: ['lot-short', 'period-closed', 'conflict'],
});
export const listHaySales = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/hay-sales',
  operationId: 'listHaySales',
  tag,
  access: 'read',
  summary: 'Hay sold, newest first',
  params: operationParams,
  query: z.strictObject({ ...eventQuery, ...unitsQuery, hayLotId: id.optional().describe('Only those of this lot') }),
  answer: pageAnswer(haySaleOut),
  paged: true,
  register: { without: ['heldCounts'] },
});
export const getHaySale = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/hay-sales/:haySaleId',
  operationId: 'getHaySale',
  tag,
  access: 'read',
  summary: 'One sale',
  params,
  query: z.strictObject(unitsQuery),
  answer: haySaleOut,
});
export const correctHaySale = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/hay-sales/:haySaleId/correction',
  operationId: 'correctHaySale',
  tag,
  access: 'records',
  summary: 'Correct a sale in one call',
  description: CORRECTION_WORDS,
  params,
  query: correctionQuery,
  body: correctionIn(haySaleBody),
  answer: correctionOut(haySaleOut),
  creates: (made, { operationId }) => `/v1/operations/${operationId}/hay-sales/${made.entry.id}`,
  problems: ['lot-short', 'period-closed'],
});
export const reverseHaySale = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/hay-sales/:haySaleId/reversal',
  operationId: 'reverseHaySale',
  tag,
  access: 'records',
  summary: 'Reverse a sale',
  params,
  query: z.strictObject(unitsQuery),
  body: reversalIn,
  answer: stockReversalOut,
  creates: (_created, { operationId, haySaleId }) => `/v1/operations/${operationId}/hay-sales/${haySaleId}`,
  problems: ['period-closed'],
});
