import { z } from 'zod';
import { pageAnswer } from '../../../platform/http/cursor.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, instantIn, instantOut, operationParams, reason } from '../../../platform/wire/common.schema.js';
import { confirmedOut, entryQuery } from '../../../platform/wire/confirm.schema.js';
import { massOut, typedMassOut, unitsQuery } from '../../../platform/wire/quantity.schema.js';
import { eventQuery } from '../../kit/day-range.js';
import { CORRECTION_WORDS, correctionIn, correctionOut, correctionQuery } from '../../kit/correction.schema.js';
import { reversalIn, reversalOut } from '../../kit/reversal.schema.js';
import { countedQuantity } from '../stock/drawn-quantity.js';
import { postedLateOut, postingFields } from '../../kit/posting.schema.js';
import { STOCK_TREATMENTS } from '../../../platform/wire/words.data.js';

const treatment = z
  .enum(STOCK_TREATMENTS)
  .describe(
    'into-unit-cost: normal, the money stays and the unit cost of what is left changes. expense: abnormal, the ' +
      'money of the difference is taken out (or in) at the present unit cost',
  );

/** A count confirmed together with a draw that the books alone would refuse. */
export const confirmedCount = z
  .strictObject({
    counted: countedQuantity.describe('What lay in the lot before the draw'),
    reason,
    treatment: treatment.optional(),
  })
  .describe(
    'The lot was counted before this draw: the same request corrects the books. Needs the right to ' +
      'change the books',
  );

const stockCountOut = z
  .object({
    id,
    hayLotId: id,
    countedOn: day,
    countedAt: instantOut,
    counted: typedMassOut,
    inBooks: massOut.describe('What the books say of that instant without this count, as of now'),
    difference: massOut.describe('Counted less books: what the count adjusts'),
    inBooksWhenEntered: massOut.describe('What the books said of that instant when the count was entered'),
    treatment,
    reason: z.string().describe('Why the books were wrong, as far as known'),
    draw: z.object({ kind: z.string().describe('What record it was confirmed with'), id }).nullable(),
    postedLate: postedLateOut.nullable(),
    confirmed: confirmedOut,
    reversal: reversalOut.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'StockCount', description: 'A physical count of a lot, and the adjustment that it made' });

const params = operationParams.extend({ stockCountId: id });
const tag = 'Hay books';

const stockCountBody = z.strictObject({
  hayLotId: id,
  countedOn: day,
  countedAt: instantIn.optional().describe('Time, if it was noted; on the same day at the ranch'),
  counted: countedQuantity,
  treatment: treatment.default('into-unit-cost'),
  reason,
  ...postingFields,
});

export const createStockCount = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/stock-counts',
  operationId: 'createStockCount',
  tag,
  access: 'records',
  summary: 'Enter a physical count',
  description:
    'The difference from the books is adjusted at once, and restated when something of before it is entered later: ' +
    'what was counted stands (26 CFR 1.471-2(d): book inventories are adjusted to conform to physical ' +
    "ones). A count without a time counts at the end of its day, after that day's feedings.",
  params: operationParams,
  query: z.strictObject(entryQuery),
  body: stockCountBody,
  answer: stockCountOut,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/stock-counts/${created.id}`,
  problems: ['lot-short', 'period-closed', 'conflict'],
});
export const listStockCounts = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/stock-counts',
  operationId: 'listStockCounts',
  tag,
  access: 'read',
  summary: 'Physical counts, newest first',
  params: operationParams,
  query: z.strictObject({ ...eventQuery, ...unitsQuery, hayLotId: id.optional().describe('Only those of this lot') }),
  answer: pageAnswer(stockCountOut),
  paged: true,
  register: {},
});
export const getStockCount = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/stock-counts/:stockCountId',
  operationId: 'getStockCount',
  tag,
  access: 'read',
  summary: 'One physical count',
  params,
  query: z.strictObject(unitsQuery),
  answer: stockCountOut,
});
export const correctStockCount = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/stock-counts/:stockCountId/correction',
  operationId: 'correctStockCount',
  tag,
  access: 'records',
  summary: 'Correct a count in one call',
  description: CORRECTION_WORDS,
  params,
  query: correctionQuery,
  body: correctionIn(stockCountBody),
  answer: correctionOut(stockCountOut),
  creates: (made, { operationId }) => `/v1/operations/${operationId}/stock-counts/${made.entry.id}`,
  problems: ['lot-short', 'period-closed', 'conflict'],
});
export const reverseStockCount = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/stock-counts/:stockCountId/reversal',
  operationId: 'reverseStockCount',
  tag,
  access: 'records',
  summary: 'Reverse a count',
  params,
  body: reversalIn,
  answer: reversalOut,
  creates: (_created, { operationId, stockCountId }) => `/v1/operations/${operationId}/stock-counts/${stockCountId}`,
  problems: ['lot-short', 'period-closed'],
});
