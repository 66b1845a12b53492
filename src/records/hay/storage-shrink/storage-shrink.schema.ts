import { z } from 'zod';
import { STORAGE_LOSSES, type StorageLossCode } from '../../../core/stock/storage-loss.data.js';
import { pageAnswer } from '../../../platform/http/cursor.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, instantOut, line, note, operationParams, reason } from '../../../platform/wire/common.schema.js';
import { confirmedOut, entryQuery } from '../../../platform/wire/confirm.schema.js';
import { decimalIn, decimalOut, massOut, typedMassOut, unitsQuery } from '../../../platform/wire/quantity.schema.js';
import { eventQuery } from '../../kit/day-range.js';
import { CORRECTION_WORDS, correctionIn, correctionOut, correctionQuery } from '../../kit/correction.schema.js';
import { reversalIn, reversalOut } from '../../kit/reversal.schema.js';
import { drawnQuantity, drawnQuantityOut } from '../stock/drawn-quantity.js';
import { heldCountsOut, stockReversalOut } from '../stock/held-counts.schema.js';
import { postedLateOut, postingFields } from '../../kit/posting.schema.js';
import { storageMethod } from '../lots/hay-lot.schema.js';
import { SHRINK_BASES } from '../../../platform/wire/words.data.js';

const figure = z
  .enum(STORAGE_LOSSES.map((row) => row.code) as [StorageLossCode, ...StorageLossCode[]])
  .describe(
    "Code of a published loss figure; left out, the ranch's own measurement, else the published figure " +
      'of the storage ' +
      'method',
  );

const lossFigure = z.object({
  basis: z.enum(['published', 'own measurement']).describe('Where the figure comes from'),
  code: z.string().describe('Code of the published figure').nullable(),
  low: decimalOut.describe('Share lost in a season, 0 to 1'),
  typical: decimalOut,
  high: decimalOut,
  source: z.string().describe('Who published it, or how it was measured'),
});

const estimateOut = z
  .object({
    hayLotId: id,
    figure: lossFigure,
    from: day.describe('Loss is booked up to this day'),
    until: day,
    days: z.number().int().describe('Days between the two measurements'),
    balance: massOut.describe('Balance in the books at the end of that day'),
    loss: massOut.describe('Loss over these days by the typical figure; nothing is booked').nullable(),
    notes: z.array(z.string().describe('What the estimate rests on')),
  })
  .meta({
    id: 'StorageLossEstimate',
    description: 'What a lot is likely to have lost in storage since it was last corrected',
  });

const storageShrinkOut = z
  .object({
    id,
    hayLotId: id,
    lostOn: day,
    basis: z.enum(SHRINK_BASES).describe('How the loss is known'),
    weight: typedMassOut.describe('Weight of the hay lost, as fed'),
    quantityTyped: drawnQuantityOut,
    abnormal: z.boolean().describe('True if the loss is expensed instead of carried by the hay left'),
    seasonShare: decimalOut.describe("Season's loss that the estimate rests on").nullable(),
    figure: z.string().describe('Code of the published figure, or own').nullable(),
    source: z.string().describe('Where the figure comes from').nullable(),
    from: day.nullable().describe('First day of the estimate'),
    reason: z.string().describe('Why it was done, in the words of the person').nullable(),
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    postedLate: postedLateOut.nullable(),
    confirmed: confirmedOut,
    heldCounts: heldCountsOut,
    reversal: reversalOut.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'StorageShrink', description: 'Hay lost in storage; never edited, only reversed' });

const measurementOut = z
  .object({
    id,
    ranchId: id.nullable().describe('Id of the ranch; left out, for every ranch'),
    storageMethod,
    measuredOn: day,
    seasonShare: decimalOut.describe('Share lost in a season, 0 to 1'),
    how: z.string().describe('How it was measured'),
    reversal: reversalOut.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'StorageMeasurement', description: "A ranch's own measurement of storage loss" });

const params = operationParams.extend({ storageShrinkId: id });
const tag = 'Hay books';

const storageShrinkBody = z.strictObject({
  hayLotId: id,
  lostOn: day,
  how: z
    .discriminatedUnion('basis', [
      z.strictObject({ basis: z.literal('weighed'), quantity: drawnQuantity }).describe('Weighed or counted'),
      z.strictObject({ basis: z.literal('estimated'), figure: figure.optional() }).describe('From a loss figure'),
    ])
    .describe('How the loss is known'),
  abnormal: z
    .boolean()
    .default(false)
    .describe('True if the loss is abnormal and is expensed instead of carried by the hay left'),
  reason: reason.optional(),
  note: note.optional(),
  ...postingFields,
});

export const createStorageShrink = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/storage-shrinks',
  operationId: 'createStorageShrink',
  tag,
  access: 'records',
  summary: 'Book hay lost in storage',
  description:
    'Weighed, or estimated from a loss figure over the days since the lot was stored or last corrected. Normal ' +
    'loss raises the unit cost of what is left; abnormal loss (fire, flood, theft) is expensed and needs a ' +
    'reason.',
  params: operationParams,
  query: z.strictObject(entryQuery),
  body: storageShrinkBody,
  answer: storageShrinkOut,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/storage-shrinks/${created.id}`,
  problems: ['lot-short', 'period-closed', 'conflict'],
});
export const listStorageShrinks = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/storage-shrinks',
  operationId: 'listStorageShrinks',
  tag,
  access: 'read',
  summary: 'Storage losses, newest first',
  params: operationParams,
  query: z.strictObject({ ...eventQuery, ...unitsQuery, hayLotId: id.optional().describe('Only those of this lot') }),
  answer: pageAnswer(storageShrinkOut),
  paged: true,
  register: { without: ['heldCounts'] },
});
export const getStorageShrink = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/storage-shrinks/:storageShrinkId',
  operationId: 'getStorageShrink',
  tag,
  access: 'read',
  summary: 'One storage loss',
  params,
  query: z.strictObject(unitsQuery),
  answer: storageShrinkOut,
});
export const correctStorageShrink = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/storage-shrinks/:storageShrinkId/correction',
  operationId: 'correctStorageShrink',
  tag,
  access: 'records',
  summary: 'Correct a storage loss in one call',
  description: CORRECTION_WORDS,
  params,
  query: correctionQuery,
  body: correctionIn(storageShrinkBody),
  answer: correctionOut(storageShrinkOut),
  creates: (made, { operationId }) => `/v1/operations/${operationId}/storage-shrinks/${made.entry.id}`,
  problems: ['lot-short', 'period-closed', 'conflict'],
});
export const reverseStorageShrink = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/storage-shrinks/:storageShrinkId/reversal',
  operationId: 'reverseStorageShrink',
  tag,
  access: 'records',
  summary: 'Reverse a storage loss',
  params,
  query: z.strictObject(unitsQuery),
  body: reversalIn,
  answer: stockReversalOut,
  creates: (_created, { operationId, storageShrinkId }) =>
    `/v1/operations/${operationId}/storage-shrinks/${storageShrinkId}`,
  problems: ['period-closed'],
});
export const estimateStorageLoss = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/hay-lots/:hayLotId/storage-loss',
  operationId: 'estimateStorageLoss',
  tag,
  access: 'read',
  summary: 'Estimate the storage loss of a lot',
  description: 'Nothing is booked.',
  params: operationParams.extend({ hayLotId: id }),
  query: z.strictObject({ ...unitsQuery, on: day.describe('Up to the end of this day'), figure: figure.optional() }),
  answer: estimateOut,
});
export const createStorageMeasurement = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/storage-measurements',
  operationId: 'createStorageMeasurement',
  tag,
  access: 'records',
  summary: "Enter the ranch's own storage loss",
  description: 'From then on it replaces the published figure for this way of storing; a later one replaces it.',
  params: operationParams,
  body: z.strictObject({
    ranchId: id.optional().describe('Id of the ranch; left out, for every ranch'),
    storageMethod,
    measuredOn: day,
    seasonShare: decimalIn
      .refine(
        (value) => /^0(\.\d{1,6})?$/.test(value),
        'must be a share from 0 to below 1 with at most six decimal places',
      )
      .describe('Share of the stored hay lost over a season: 0.08 is 8 %'),
    how: line(500).describe('How it was measured'),
  }),
  answer: measurementOut,
  creates: (created, { operationId }) =>
    `/v1/operations/${operationId}/storage-measurements?storageMethod=${created.storageMethod}`,
});
export const listStorageMeasurements = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/storage-measurements',
  operationId: 'listStorageMeasurements',
  tag,
  access: 'read',
  summary: 'Own measurements of storage loss, newest first',
  params: operationParams,
  query: z.strictObject({ ...eventQuery, storageMethod: storageMethod.optional() }),
  answer: pageAnswer(measurementOut),
  paged: true,
  register: {},
});
export const withdrawStorageMeasurement = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/storage-measurements/:storageMeasurementId/reversal',
  operationId: 'withdrawStorageMeasurement',
  tag,
  access: 'records',
  summary: 'Withdraw a measurement of storage loss',
  description: 'For one entered by mistake. What was booked by it stays booked.',
  params: operationParams.extend({ storageMeasurementId: id }),
  body: reversalIn,
  answer: reversalOut,
  creates: (_created, { operationId }) => `/v1/operations/${operationId}/storage-measurements`,
});
