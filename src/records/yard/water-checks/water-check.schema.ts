import { z } from 'zod';
import { figureText } from '../../../core/units/decimal.js';
import { pageAnswer } from '../../../platform/http/cursor.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, instantIn, instantOut, line, note, operationParams } from '../../../platform/wire/common.schema.js';
import {
  decimalOut,
  measureOut,
  typedFlowOut,
  typedVolumeOut,
  unitsQuery,
} from '../../../platform/wire/quantity.schema.js';
import { unitOf } from '../../../platform/wire/unit.schema.js';
import { eventQuery } from '../../kit/day-range.js';
import { reversalIn, reversalOut } from '../../kit/reversal.schema.js';
import { WATER_STATES } from '../../../platform/wire/words.data.js';

const amount = z
  .union([z.string(), z.number()])
  .transform(String)
  .refine(
    (value) => figureText({ digits: 6, places: 3 }).test(value),
    'must be 0 to below 1,000,000 with at most three decimal places',
  )
  .describe('The figure, as text or number');
const flow = z.strictObject({
  value: amount,
  unit: unitOf('flow'),
});
const volume = z.strictObject({ value: amount, unit: unitOf('volume', 'small') });
const state = z.enum(WATER_STATES).describe('State of the water when it was checked');
const concentration = z
  .union([z.string(), z.number()])
  .transform(String)
  .refine(
    (value) => figureText({ digits: 6, places: 2, leadingZeros: false }).test(value),
    'must be 0 to below 1,000,000 mg/L with at most two decimal places',
  );

const check = z
  .object({
    id,
    placeId: id,
    source: z.string().describe('Name of the trough, creek or well'),
    checkedOn: day,
    checkedAt: instantOut.nullable(),
    state,
    flow: typedFlowOut.describe('Water that flows in; null if it was not measured').nullable(),
    tank: typedVolumeOut.describe('What the tank holds when full').nullable(),
    supplyPerDay: measureOut('volume', 'small')
      .describe(
        'Water supplied per day: the flow over a day, or one filling of a tank without a known flow; null where ' +
          'neither is known',
      )
      .nullable(),
    dissolvedSolidsMgPerL: decimalOut.nullable(),
    sulfateMgPerL: decimalOut.nullable(),
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    reversal: reversalOut.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'WaterCheck', description: 'What somebody found at a water source' });

const tag = 'Weather and water';
const params = operationParams.extend({ waterCheckId: id });

export const createWaterCheck = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/water-checks',
  operationId: 'createWaterCheck',
  tag,
  access: 'daily',
  summary: 'Write down a look at the water',
  description: 'The feed sheet of the place compares it with what the herd needs.',
  params: operationParams,
  query: z.strictObject(unitsQuery),
  body: z.strictObject({
    placeId: id,
    source: line(120).describe('Name of the trough, creek or well'),
    checkedOn: day,
    checkedAt: instantIn.optional().describe('Time, if it was noted'),
    state,
    flow: flow.optional().describe('Water that flows in; null if it was not measured'),
    tank: volume.optional().describe('What the tank holds when full'),
    dissolvedSolidsMgPerL: concentration.optional().describe('Total dissolved solids, from the lab or a meter'),
    sulfateMgPerL: concentration.optional().describe('Sulfate, from the lab'),
    note: note.optional(),
  }),
  answer: check,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/water-checks/${created.id}`,
});
export const listWaterChecks = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/water-checks',
  operationId: 'listWaterChecks',
  tag,
  access: 'read',
  summary: 'Water checks, newest first',
  params: operationParams,
  query: z.strictObject({ ...eventQuery, ...unitsQuery, placeId: id.optional().describe('Only those of this place') }),
  answer: pageAnswer(check),
  paged: true,
  register: {},
});
export const getWaterCheck = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/water-checks/:waterCheckId',
  operationId: 'getWaterCheck',
  tag,
  access: 'read',
  summary: 'One water check',
  params,
  query: z.strictObject(unitsQuery),
  answer: check,
});
export const reverseWaterCheck = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/water-checks/:waterCheckId/reversal',
  operationId: 'reverseWaterCheck',
  tag,
  access: 'daily',
  summary: 'Reverse a water check',
  params,
  body: reversalIn,
  answer: reversalOut,
  creates: (_created, { operationId, waterCheckId }) => `/v1/operations/${operationId}/water-checks/${waterCheckId}`,
});
