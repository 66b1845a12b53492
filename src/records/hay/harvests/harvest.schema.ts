import { z } from 'zod';
import { pageAnswer } from '../../../platform/http/cursor.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, instantOut, line, note, operationParams } from '../../../platform/wire/common.schema.js';
import { confirmedOut, entryQuery } from '../../../platform/wire/confirm.schema.js';
import {
  decimalOut,
  moneyOut,
  pricePerMassOut,
  typedMassOut,
  unitsQuery,
} from '../../../platform/wire/quantity.schema.js';
import { cautionOut } from '../../kit/caution.schema.js';
import { eventQuery } from '../../kit/day-range.js';
import { lotFields } from '../lots/hay-lot.schema.js';
import {
  baleCount,
  moisturePercent,
  receivedWeight,
  receivedWeightOut,
  ticketPrice,
  weighingOut,
  weightBasis,
} from '../purchases/ticket.schema.js';
import { correctionIn, correctionQuery } from '../../kit/correction.schema.js';
import { RECEIPT_CORRECTION_WORDS, receiptCorrectionOut } from '../late-costs/late-cost.schema.js';
import { reversalIn, reversalOut } from '../../kit/reversal.schema.js';
import { heldCountsOut, stockReceiptReversalOut } from '../stock/held-counts.schema.js';
import { postedLateOut, postingFields } from '../../kit/posting.schema.js';
import { PRICE_BASES } from '../../../platform/wire/words.data.js';

const harvestOut = z
  .object({
    id,
    hayLotId: id,
    field: z.string().describe('Field where the hay grew').nullable(),
    harvestedOn: day,
    baleCount: z.number().int().describe('Number of bales; null if they were not counted').nullable(),
    weight: typedMassOut.describe('Weight put up, as fed'),
    weightBasis,
    weightTyped: receivedWeightOut,
    weighing: weighingOut.nullable(),
    moisturePercent: decimalOut.describe('Moisture at stacking, % of the weight as fed; null if not known').nullable(),
    cost: z
      .object({
        basis: z.enum(PRICE_BASES).describe('How the cost was given'),
        amount: decimalOut.describe('The figure as it was typed, digit for digit'),
        per: z.string().describe('Unit of mass, bale, or lot'),
      })
      .describe('Null for readers without prices')
      .nullable(),
    costOfProduction: moneyOut.nullable(),
    costPerMass: pricePerMassOut
      .describe('Cost per unit of the weight put up; null for readers without prices')
      .nullable(),
    postedLate: postedLateOut.nullable(),
    confirmed: confirmedOut,
    heldCounts: heldCountsOut,
    cautions: z.array(cautionOut),
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    reversal: reversalOut.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({
    id: 'Harvest',
    description: 'Own hay taken into the yard at its cost of production; never edited, only reversed',
  });

const params = operationParams.extend({ harvestId: id });
const tag = 'Hay books';

const harvestBody = z.strictObject({
  field: line(200).optional().describe('Field where the hay grew'),
  harvestedOn: day,
  lot: z
    .union([
      z.strictObject({ id }).describe('An existing lot'),
      z.strictObject(lotFields).describe('A new lot, which this entry opens'),
    ])
    .describe('Where the hay goes'),
  baleCount: baleCount.optional(),
  weight: receivedWeight,
  cost: ticketPrice.describe('Cost of production, per unit of mass, per bale or for all of it'),
  moisturePercent: moisturePercent
    .optional()
    .describe('Moisture at stacking, %: cautions of the lot go by it until a later reading by probe or laboratory'),
  note: note.optional(),
  ...postingFields,
});

export const createHarvest = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/harvests',
  operationId: 'createHarvest',
  tag,
  access: 'records',
  summary: 'Enter own hay',
  description: 'Into an existing lot, or into a new one that the same request describes, at its cost of production.',
  params: operationParams,
  query: z.strictObject(entryQuery),
  body: harvestBody,
  answer: harvestOut,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/harvests/${created.id}`,
  problems: ['lot-name-in-use', 'period-closed', 'conflict'],
});
export const listHarvests = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/harvests',
  operationId: 'listHarvests',
  tag,
  access: 'read',
  summary: 'Own hay, newest first',
  params: operationParams,
  query: z.strictObject({ ...eventQuery, ...unitsQuery, hayLotId: id.optional().describe('Only those of this lot') }),
  answer: pageAnswer(harvestOut),
  paged: true,
  register: { without: ['heldCounts'] },
});
export const getHarvest = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/harvests/:harvestId',
  operationId: 'getHarvest',
  tag,
  access: 'read',
  summary: 'One harvest',
  params,
  query: z.strictObject(unitsQuery),
  answer: harvestOut,
});
export const correctHarvest = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/harvests/:harvestId/correction',
  operationId: 'correctHarvest',
  tag,
  access: 'records',
  summary: 'Correct a harvest in one call',
  description: RECEIPT_CORRECTION_WORDS,
  params,
  query: correctionQuery,
  body: correctionIn(harvestBody),
  answer: receiptCorrectionOut(harvestOut),
  creates: (made, { operationId }) => `/v1/operations/${operationId}/harvests/${made.entry.id}`,
  problems: ['lot-short', 'lot-name-in-use', 'period-closed'],
});
export const reverseHarvest = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/harvests/:harvestId/reversal',
  operationId: 'reverseHarvest',
  tag,
  access: 'records',
  summary: 'Reverse a harvest',
  params,
  query: z.strictObject(unitsQuery),
  body: reversalIn,
  answer: stockReceiptReversalOut,
  creates: (_created, { operationId, harvestId }) => `/v1/operations/${operationId}/harvests/${harvestId}`,
  problems: ['lot-short', 'period-closed'],
});
