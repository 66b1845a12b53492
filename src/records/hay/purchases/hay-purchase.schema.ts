import { z } from 'zod';
import { pageAnswer } from '../../../platform/http/cursor.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, instantOut, line, note, operationParams } from '../../../platform/wire/common.schema.js';
import { confirmedOut, entryQuery } from '../../../platform/wire/confirm.schema.js';
import {
  decimalOut,
  moneyAsTyped,
  moneyOut,
  pricePerMassOut,
  typedMassOut,
  unitsQuery,
} from '../../../platform/wire/quantity.schema.js';
import { cautionOut, lotCautionsOut } from '../../kit/caution.schema.js';
import { eventQuery } from '../../kit/day-range.js';
import { lotFields } from '../lots/hay-lot.schema.js';
import { correctionIn, correctionQuery } from '../../kit/correction.schema.js';
import { RECEIPT_CORRECTION_WORDS, receiptCorrectionOut } from '../late-costs/late-cost.schema.js';
import { reversalIn, reversalOut } from '../../kit/reversal.schema.js';
import { heldCountsOut, stockReceiptReversalOut } from '../stock/held-counts.schema.js';
import { postedLateOut, postingFields } from '../../kit/posting.schema.js';
import {
  baleCount,
  moisturePercent,
  positiveAmount,
  receivedWeight,
  receivedWeightOut,
  ticketNumber,
  ticketNumberOut,
  ticketPrice,
  weighingOut,
  weightBasis,
} from './ticket.schema.js';
import { PRICE_BASES } from '../../../platform/wire/words.data.js';

export const purchaseOut = z
  .object({
    id,
    hayLotId: id,
    vendor: z.string().describe('Name of the seller of the hay'),
    ticketNumber: ticketNumberOut,
    purchasedOn: day,
    baleCount: z.number().int().describe('Number of bales; null if they were not counted').nullable(),
    weight: typedMassOut.describe('Weight received, as fed'),
    weightBasis,
    weightTyped: receivedWeightOut,
    weighing: weighingOut.nullable(),
    moisturePercent: decimalOut.describe('Moisture at delivery, % of the weight as fed; null if not known').nullable(),
    price: z
      .object({
        basis: z.enum(PRICE_BASES).describe('How it was priced'),
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
    landedCost: moneyOut.describe('Cost of hay, freight and charges; null for readers without prices').nullable(),
    landedPrice: pricePerMassOut
      .describe('Landed cost per unit of the weight received; null for readers without prices')
      .nullable(),
    quoteId: id.nullable().describe('Id of the offer that was taken; null if there was none'),
    postedLate: postedLateOut.nullable(),
    confirmed: confirmedOut,
    heldCounts: heldCountsOut,
    cautions: z.array(cautionOut),
    lotCautions: lotCautionsOut,
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    reversal: reversalOut.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'HayPurchase', description: 'A ticket for hay bought; never edited, only reversed' });

const params = operationParams.extend({ hayPurchaseId: id });
const tag = 'Hay';

const hayPurchaseBody = z.strictObject({
  vendor: line(200).describe('Name of the seller of the hay'),
  ticketNumber: ticketNumber.optional(),
  purchasedOn: day,
  lot: z
    .union([
      z.strictObject({ id }).describe('An existing lot'),
      z.strictObject(lotFields).describe('A new lot, which this entry opens'),
    ])
    .describe('Where the hay goes'),
  baleCount: baleCount.optional(),
  weight: receivedWeight,
  price: ticketPrice,
  freight: positiveAmount.optional().describe("Freight, in the operation's currency"),
  charges: positiveAmount.optional().describe('Charges besides the price and the freight'),
  moisturePercent: moisturePercent
    .optional()
    .describe('Moisture at delivery, %: cautions of the lot go by it until a later reading by probe or laboratory'),
  note: note.optional(),
  ...postingFields,
});

export const createHayPurchase = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/hay-purchases',
  operationId: 'createHayPurchase',
  tag,
  access: 'records',
  summary: 'Enter hay bought',
  description:
    'Into an existing lot, or into a new one that the same request describes. Writes the ledger and the ' +
    'landed cost together.',
  params: operationParams,
  query: z.strictObject(entryQuery),
  body: hayPurchaseBody,
  answer: purchaseOut,
  problems: ['lot-name-in-use', 'period-closed', 'conflict'],
  creates: (created, { operationId }) => `/v1/operations/${operationId}/hay-purchases/${created.id}`,
});
export const listHayPurchases = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/hay-purchases',
  operationId: 'listHayPurchases',
  tag,
  access: 'read',
  summary: 'Hay bought, newest first',
  params: operationParams,
  query: z.strictObject({ ...eventQuery, ...unitsQuery, hayLotId: id.optional().describe('Only those of this lot') }),
  answer: pageAnswer(purchaseOut),
  paged: true,
  register: { without: ['lotCautions', 'heldCounts'] },
});
export const getHayPurchase = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/hay-purchases/:hayPurchaseId',
  operationId: 'getHayPurchase',
  tag,
  access: 'read',
  summary: 'One ticket',
  params,
  query: z.strictObject(unitsQuery),
  answer: purchaseOut,
});
export const correctHayPurchase = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/hay-purchases/:hayPurchaseId/correction',
  operationId: 'correctHayPurchase',
  tag,
  access: 'records',
  summary: 'Correct a ticket in one call',
  description: RECEIPT_CORRECTION_WORDS,
  params,
  query: correctionQuery,
  body: correctionIn(hayPurchaseBody),
  answer: receiptCorrectionOut(purchaseOut),
  creates: (made, { operationId }) => `/v1/operations/${operationId}/hay-purchases/${made.entry.id}`,
  problems: ['lot-short', 'lot-name-in-use', 'period-closed'],
});
export const reverseHayPurchase = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/hay-purchases/:hayPurchaseId/reversal',
  operationId: 'reverseHayPurchase',
  tag,
  access: 'records',
  summary: 'Reverse a ticket',
  description: 'Reverses its hay and its money. Refused if hay already drawn from the lot would then be missing.',
  params,
  query: z.strictObject(unitsQuery),
  body: reversalIn,
  answer: stockReceiptReversalOut,
  creates: (_created, { operationId, hayPurchaseId }) => `/v1/operations/${operationId}/hay-purchases/${hayPurchaseId}`,
  problems: ['lot-short'],
});
