import { z } from 'zod';
import { pageAnswer } from '../../../platform/http/cursor.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, instantOut, line, name, note, operationParams } from '../../../platform/wire/common.schema.js';
import { confirmedOut, entryQuery } from '../../../platform/wire/confirm.schema.js';
import {
  decimalOut,
  moneyAsTyped,
  moneyOut,
  pricePerMassOut,
  typedMassOut,
  unitsQuery,
} from '../../../platform/wire/quantity.schema.js';
import { eventQuery } from '../../kit/day-range.js';
import { baleForm, feedKind, lotFields, storageMethod } from '../lots/hay-lot.schema.js';
import { purchaseOut } from '../purchases/hay-purchase.schema.js';
import {
  baleCount,
  moisturePercent,
  positiveAmount,
  receivedWeight,
  receivedWeightOut,
  ticketNumber,
  ticketPrice,
} from '../purchases/ticket.schema.js';
import { reversalIn, reversalOut } from '../../kit/reversal.schema.js';
import { postingFields } from '../../kit/posting.schema.js';
import { FEED_CATEGORIES, PRICE_BASES } from '../../../platform/wire/words.data.js';

const state = z
  .enum(['open', 'bought', 'lapsed', 'withdrawn'])
  .describe('open: it can be taken; bought: it was; lapsed: its last day is over; withdrawn: no longer offered');

const hayQuoteOut = z
  .object({
    id,
    vendor: z.string().describe('Name of the seller who offers the hay'),
    offeredOn: day,
    validUntil: day.nullable(),
    state,
    name: z.string().describe('Name of the hay that is offered'),
    hayKind: feedKind,
    category: z.enum(FEED_CATEGORIES).describe('Hay, or another feed'),
    cutting: z.number().int().describe('Which cutting of the year, 1 to 9; null if not known').nullable(),
    harvestedOn: day.nullable(),
    baleForm,
    baleCount: z.number().int().describe('Number of bales; null if they were not counted').nullable(),
    weight: typedMassOut.describe('Weight of the hay that is offered'),
    weightTyped: receivedWeightOut,
    price: z
      .object({
        basis: z.enum(PRICE_BASES).describe('How it is priced'),
        amount: decimalOut.describe('The figure as it was typed, digit for digit'),
        per: z.string().describe('Unit of mass, bale, or lot'),
      })
      .describe('Null for readers without prices')
      .nullable(),
    hayCost: moneyOut.nullable(),
    freight: moneyOut.nullable(),
    freightTyped: moneyAsTyped,
    charges: moneyOut.nullable(),
    chargesTyped: moneyAsTyped,
    deliveredCost: moneyOut.describe('Cost of hay, freight and charges; null for readers without prices').nullable(),
    deliveredPrice: pricePerMassOut
      .describe('Delivered cost per unit of the weight offered; null for readers without prices')
      .nullable(),
    purchaseIds: z.array(id).describe('Tickets by which it was taken'),
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    confirmed: confirmedOut,
    reversal: reversalOut.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'HayQuote', description: 'Hay on offer, not in the books until it is bought' });

const params = operationParams.extend({ hayQuoteId: id });
const tag = 'Hay books';

export const createHayQuote = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/hay-quotes',
  operationId: 'createHayQuote',
  tag,
  access: 'records',
  summary: 'Enter an offer of hay',
  description: 'It changes nothing in the books.',
  params: operationParams,
  query: z.strictObject(entryQuery),
  body: z.strictObject({
    vendor: line(200).describe('Name of the seller who offers the hay'),
    offeredOn: day,
    validUntil: day.optional().describe('Last day on which it can be taken'),
    name,
    hayKind: feedKind,
    cutting: lotFields.cutting,
    harvestedOn: lotFields.harvestedOn,
    baleForm: lotFields.baleForm,
    baleCount: baleCount.optional(),
    weight: receivedWeight,
    price: ticketPrice,
    freight: positiveAmount.optional().describe('Freight to the ranch for all of it'),
    charges: positiveAmount.optional().describe('Charges besides the price and the freight'),
    note: note.optional(),
  }),
  answer: hayQuoteOut,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/hay-quotes/${created.id}`,
});
export const listHayQuotes = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/hay-quotes',
  operationId: 'listHayQuotes',
  tag,
  access: 'read',
  summary: 'Offers, newest first',
  params: operationParams,
  query: z.strictObject({ ...eventQuery, ...unitsQuery }),
  answer: pageAnswer(hayQuoteOut),
  paged: true,
  register: {},
});
export const getHayQuote = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/hay-quotes/:hayQuoteId',
  operationId: 'getHayQuote',
  tag,
  access: 'read',
  summary: 'One offer',
  params,
  query: z.strictObject(unitsQuery),
  answer: hayQuoteOut,
});
export const reverseHayQuote = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/hay-quotes/:hayQuoteId/reversal',
  operationId: 'reverseHayQuote',
  tag,
  access: 'records',
  summary: 'Withdraw an offer',
  params,
  body: reversalIn,
  answer: reversalOut,
  creates: (_created, { operationId, hayQuoteId }) => `/v1/operations/${operationId}/hay-quotes/${hayQuoteId}`,
});
export const purchaseFromHayQuote = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/hay-quotes/:hayQuoteId/purchase',
  operationId: 'purchaseFromHayQuote',
  tag,
  access: 'records',
  summary: 'Buy what was offered',
  description:
    'Makes a ticket from the offer; what is left out is as offered. Only for those who see prices, since ' +
    'the price comes ' +
    'from the offer.',
  params,
  query: z.strictObject(entryQuery),
  body: z.strictObject({
    ticketNumber: ticketNumber.optional(),
    purchasedOn: day,
    lot: z
      .union([
        z.strictObject({ id }).describe('An existing lot'),
        z
          .strictObject({
            name: name.optional(),
            ranchId: id,
            placeId: lotFields.placeId,
            storageMethod,
            storedSince: lotFields.storedSince,
          })
          .describe('A new lot, which this entry opens'),
      ])
      .describe('Where the hay goes'),
    baleCount: baleCount.optional(),
    weight: receivedWeight.optional().describe('Weight as received; the weight offered if left out'),
    freight: positiveAmount.optional().describe('As billed; as offered if left out'),
    charges: positiveAmount.optional().describe('As billed; as offered if left out'),
    moisturePercent: moisturePercent.optional().describe('Moisture at delivery, %'),
    note: note.optional(),
    ...postingFields,
  }),
  answer: purchaseOut,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/hay-purchases/${created.id}`,
  problems: ['lot-name-in-use', 'period-closed', 'conflict'],
});
