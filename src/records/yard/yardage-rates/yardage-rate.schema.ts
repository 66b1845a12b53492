import { z } from 'zod';
import { figureText } from '../../../core/units/decimal.js';
import { pageAnswer, pageQuery } from '../../../platform/http/cursor.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, instantOut, operationParams } from '../../../platform/wire/common.schema.js';
import { confirmedOut, confirmQuery } from '../../../platform/wire/confirm.schema.js';
import { reversalIn, reversalOut } from '../../kit/reversal.schema.js';
import { currency, decimalIn, decimalOut } from '../../../platform/wire/quantity.schema.js';

const rate = decimalIn
  .refine(
    (value) => figureText({ digits: 12, places: 4, leadingZeros: false }).test(value),
    'must be 0 or more, with at most four decimal places',
  )
  .describe("Money per head per day, in the operation's currency");

const yardageRate = z
  .object({
    id,
    herdId: id.describe('Id of the herd; null for every herd without a rate of its own').nullable(),
    fromOn: day,
    perHeadDay: z.object({ amount: decimalOut, currency }).describe('What a head costs per day besides feed'),
    confirmed: confirmedOut,
    reversal: reversalOut.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'YardageRate', description: 'What a head costs per day besides feed, from a day on' });

export const createYardageRate = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/yardage-rates',
  operationId: 'createYardageRate',
  tag: 'Costs',
  access: 'records',
  summary: 'Set what a head costs a day besides feed',
  description:
    'From a day on, until the next rate. For one herd, or for all that have no rate of their own. A rate of the ' +
    'same day supersedes. One that was a mistake is reversed.',
  query: z.strictObject(confirmQuery),
  params: operationParams,
  body: z.strictObject({ herdId: id.optional(), fromOn: day, perHeadDay: rate }),
  answer: yardageRate,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/yardage-rates/${created.id}`,
});
export const listYardageRates = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/yardage-rates',
  operationId: 'listYardageRates',
  tag: 'Costs',
  access: 'prices',
  summary: 'Yardage rates',
  params: operationParams,
  query: z.strictObject(pageQuery),
  answer: pageAnswer(yardageRate),
  paged: true,
  register: {},
});
export const getYardageRate = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/yardage-rates/:yardageRateId',
  operationId: 'getYardageRate',
  tag: 'Costs',
  access: 'prices',
  summary: 'One yardage rate',
  params: operationParams.extend({ yardageRateId: id }),
  answer: yardageRate,
});
export const reverseYardageRate = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/yardage-rates/:yardageRateId/reversal',
  operationId: 'reverseYardageRate',
  tag: 'Costs',
  access: 'records',
  summary: 'Reverse a yardage rate',
  description:
    'Season cost, cost of gain, closeouts and the general ledger are then as if it had never been. As of a later ' +
    'day than its own, accounts of the days before keep it, and what it had made of them is a correction with its ' +
    'amount, posted on the day of the reversal. Whoever reverses a rate must see it: the permission "prices".',
  params: operationParams.extend({ yardageRateId: id }),
  body: reversalIn,
  answer: reversalOut,
  creates: (_, { operationId, yardageRateId: of }) => `/v1/operations/${operationId}/yardage-rates/${of}`,
  problems: ['period-closed', 'not-permitted'],
});
