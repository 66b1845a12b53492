import { z } from 'zod';
import { pageAnswer } from '../../../platform/http/cursor.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, instantIn, instantOut, name, note, operationParams } from '../../../platform/wire/common.schema.js';
import { confirmedOut, entryQuery } from '../../../platform/wire/confirm.schema.js';
import { decimalOut, typedMassOut, unitsQuery } from '../../../platform/wire/quantity.schema.js';
import { lotCautionsOut } from '../../kit/caution.schema.js';
import { eventQuery } from '../../kit/day-range.js';
import { lotFields, storageMethod } from '../lots/hay-lot.schema.js';
import { CORRECTION_WORDS, correctionIn, correctionOut, correctionQuery } from '../../kit/correction.schema.js';
import { reversalIn, reversalOut } from '../../kit/reversal.schema.js';
import { confirmedCount } from '../stock-counts/stock-count.schema.js';
import { drawnQuantity, drawnQuantityOut } from '../stock/drawn-quantity.js';
import { heldCountsOut, stockReceiptReversalOut } from '../stock/held-counts.schema.js';
import { postedLateOut, postingFields } from '../../kit/posting.schema.js';

const hayTransferOut = z
  .object({
    id,
    fromLotId: id,
    toLotId: id,
    movedOn: day,
    movedAt: instantOut.nullable(),
    baleCount: decimalOut.describe('Number of bales; null if they were not counted').nullable(),
    weight: typedMassOut.describe('Weight moved, as fed'),
    quantityTyped: drawnQuantityOut,
    countId: id.describe('Id of the count that was confirmed with it; null if there was none').nullable(),
    postedLate: postedLateOut.nullable(),
    confirmed: confirmedOut,
    heldCounts: heldCountsOut,
    lotCautions: lotCautionsOut,
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    reversal: reversalOut.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({
    id: 'HayTransfer',
    description: 'Hay hauled from one lot to another: one event, two ledger rows that balance',
  });

const params = operationParams.extend({ hayTransferId: id });
const tag = 'Hay books';
const newLot = z
  .strictObject({
    name,
    ranchId: id,
    placeId: lotFields.placeId,
    storageMethod: storageMethod
      .optional()
      .describe('How it is stored from now on; left out, as in the lot it comes from'),
    storedSince: lotFields.storedSince.describe(
      'Day from which it is stored this way; left out, the day of the transfer',
    ),
  })
  .describe('A new lot; kind, cutting, harvest and bale form are those of the lot it comes from');

const hayTransferBody = z.strictObject({
  fromLotId: id,
  to: z.union([z.strictObject({ id }).describe('An existing lot'), newLot]).describe('Where the hay goes'),
  movedOn: day,
  movedAt: instantIn.optional().describe('Time, if it was noted; on the same day at both ranches'),
  quantity: drawnQuantity,
  confirmedCount: confirmedCount.optional(),
  note: note.optional(),
  ...postingFields,
});

export const createHayTransfer = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/hay-transfers',
  operationId: 'createHayTransfer',
  tag,
  access: 'records',
  summary: 'Haul hay to another ranch, place or lot',
  description:
    'One lot is in one place, so hay that goes elsewhere goes to another lot of its kind, existing or ' +
    'created by this request. The cost travels with the hay. Without a time, it counts at noon of the ranch it ' +
    'leaves.',
  params: operationParams,
  query: z.strictObject(entryQuery),
  body: hayTransferBody,
  answer: hayTransferOut,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/hay-transfers/${created.id}`,
  problems: ['lot-short', 'lot-name-in-use', 'period-closed', 'conflict'],
});
export const listHayTransfers = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/hay-transfers',
  operationId: 'listHayTransfers',
  tag,
  access: 'read',
  summary: 'Transfers, newest first',
  params: operationParams,
  query: z.strictObject({ ...eventQuery, ...unitsQuery, hayLotId: id.optional().describe('Only from or to this lot') }),
  answer: pageAnswer(hayTransferOut),
  paged: true,
  register: { without: ['lotCautions', 'heldCounts'] },
});
export const getHayTransfer = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/hay-transfers/:hayTransferId',
  operationId: 'getHayTransfer',
  tag,
  access: 'read',
  summary: 'One transfer',
  params,
  query: z.strictObject(unitsQuery),
  answer: hayTransferOut,
});
export const correctHayTransfer = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/hay-transfers/:hayTransferId/correction',
  operationId: 'correctHayTransfer',
  tag,
  access: 'records',
  summary: 'Correct a transfer in one call',
  description: CORRECTION_WORDS,
  params,
  query: correctionQuery,
  body: correctionIn(hayTransferBody),
  answer: correctionOut(hayTransferOut),
  creates: (made, { operationId }) => `/v1/operations/${operationId}/hay-transfers/${made.entry.id}`,
  problems: ['lot-short', 'lot-name-in-use', 'period-closed', 'conflict'],
});
export const reverseHayTransfer = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/hay-transfers/:hayTransferId/reversal',
  operationId: 'reverseHayTransfer',
  tag,
  access: 'records',
  summary: 'Reverse a transfer',
  description:
    'The hay goes back to the lot it came from, with the cost it left with. Refused while hay was drawn that ' +
    'would then be missing.',
  params,
  query: z.strictObject(unitsQuery),
  body: reversalIn,
  answer: stockReceiptReversalOut,
  creates: (_created, { operationId, hayTransferId }) => `/v1/operations/${operationId}/hay-transfers/${hayTransferId}`,
  problems: ['lot-short', 'period-closed'],
});
