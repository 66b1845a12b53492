import { z } from 'zod';
import { figureText } from '../../../core/units/decimal.js';
import {
  HAY_COLORS,
  HAY_SMELLS,
  HEAT_FELT,
  PROBE_READING_C,
  SEEN_AMOUNTS,
} from '../../../core/cautions/hay-observation.data.js';
import { toBaseUnit } from '../../../core/units/unit.js';
import { pageAnswer } from '../../../platform/http/cursor.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, instantOut, name, note, operationParams } from '../../../platform/wire/common.schema.js';
import { decimalOut, typedLengthOut, typedTemperatureOut, unitsQuery } from '../../../platform/wire/quantity.schema.js';
import { unitOf } from '../../../platform/wire/unit.schema.js';
import { isMoisture, MOISTURE_ALLOWED } from '../purchases/ticket.schema.js';
import { cautionOut, lotCautionsOut } from '../../kit/caution.schema.js';
import { eventQuery } from '../../kit/day-range.js';
import { reversalIn, reversalOut } from '../../kit/reversal.schema.js';

const figure = (pattern: RegExp, words: string) =>
  z
    .union([z.string(), z.number()])
    .transform(String)
    .refine((value) => pattern.test(value), words)
    .describe('The figure, as text or number');
const inBoth = (celsius: number): string => `${celsius} °C (${Math.round((celsius * 9) / 5 + 32)} °F)`;
const temperature = z
  .strictObject({
    value: figure(
      figureText({ digits: 3, places: 2, signed: true }),
      'must be a number of degrees with at most two decimal places',
    ),
    unit: unitOf('temperature'),
  })
  .refine(
    ({ value, unit }) => {
      const celsius = toBaseUnit(Number(value), unit);
      return celsius >= PROBE_READING_C.lowest && celsius <= PROBE_READING_C.highest;
    },
    {
      path: ['value'],
      message: `must lie between ${inBoth(PROBE_READING_C.lowest)} and ${inBoth(PROBE_READING_C.highest)}`,
    },
  )
  .describe('Temperature that the probe showed');
const depth = z
  .strictObject({
    value: figure(
      figureText({ digits: 4, places: 2, leadingZeros: false }),
      'must be 0 to below 10,000 with at most two decimal places',
    ),
    unit: unitOf('length'),
  })
  .describe('How deep the probe was in the hay');
const moisture = figure(figureText({ digits: 2, places: 2 }), 'must be a percentage with at most two decimal places')
  .refine(isMoisture, MOISTURE_ALLOWED)
  .describe('Moisture by the probe, % of the weight as fed');
const bales = z.number().int().min(0).max(100000);

const mold = z.enum(SEEN_AMOUNTS).describe('How much mold was seen');
const dust = z.enum(SEEN_AMOUNTS).describe('How dusty the hay was when it was shaken');
const smell = z
  .enum(HAY_SMELLS)
  .describe('The strongest smell: sweet is sound hay, caramel and tobacco tell of heat, musty of mold');
const color = z.enum(HAY_COLORS).describe('Color inside the bale');
const heatFelt = z.enum(HEAT_FELT).describe('Heat felt by a hand between the bales');

export const hayObservationOut = z
  .object({
    id,
    hayLotId: id,
    seenOn: day,
    seenBy: z.string().describe('Who saw it, where it was not the one who entered it').nullable(),
    balesChecked: z.number().int().describe('How many bales were looked at').nullable(),
    mold: mold.nullable(),
    balesMoldy: z.number().int().describe('How many bales were moldy').nullable(),
    dust: dust.nullable(),
    balesSpoiled: z.number().int().describe('How many bales were spoiled: rotten, slimy, torn wrap').nullable(),
    smell: smell.nullable(),
    color: color.nullable(),
    heatFelt: heatFelt.nullable(),
    probe: z
      .object({
        temperature: typedTemperatureOut.describe('What the probe showed'),
        depth: typedLengthOut.describe('How deep the probe was in the hay').nullable(),
      })
      .describe('Temperature inside the stack or bale; null if it was not probed')
      .nullable(),
    moisturePercent: decimalOut.describe('Moisture by the probe, % of the weight as fed').nullable(),
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    cautions: z
      .array(cautionOut)
      .describe(
        'What this look alone raises. Cautions in force for the lot are on its sheets, reviews and evaluations',
      ),
    lotCautions: lotCautionsOut,
    reversal: reversalOut.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'HayObservation', description: 'What somebody saw, smelled or measured of a lot on a day' });

const tag = 'Hay observations';
const params = operationParams.extend({ hayObservationId: id });

export const createHayObservation = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/hay-observations',
  operationId: 'createHayObservation',
  tag,
  access: 'daily',
  summary: 'Write down a look at a hay lot',
  description:
    'Mold, dust, smell, color, heat, a probe reading: whatever was looked at, at least one thing or a note. ' +
    'Cautions that follow stand on every sheet, review and evaluation of the lot until somebody looks at the same ' +
    'thing again and finds it well, or this record is reversed. Mold and spoiled bales are only answered by a look ' +
    'at as many bales as were found bad, and at 20 at least, or all that the lot holds; smoke and burnt hay only if ' +
    'the stack was probed since; heat that a hand felt only by a probe, of that day or later; moisture by any later ' +
    'reading, also of a laboratory. Of several looks on one day the worst counts. ' +
    'A look cannot be dated after today at the ranch. ' +
    'Hot hay: never walk on the stack alone or without planks and a rope; hay that smells of smoke or reads 175 °F ' +
    '(79 °C) is for the fire service.',
  params: operationParams,
  query: z.strictObject(unitsQuery),
  body: z.strictObject({
    hayLotId: id,
    seenOn: day,
    seenBy: name.optional().describe('Who saw it, where it is not you'),
    balesChecked: bales.min(1).optional().describe('How many bales were looked at'),
    mold: mold.optional(),
    balesMoldy: bales.optional().describe('How many bales were moldy'),
    dust: dust.optional(),
    balesSpoiled: bales.optional().describe('How many bales were spoiled: rotten, slimy, torn wrap'),
    smell: smell.optional(),
    color: color.optional(),
    heatFelt: heatFelt.optional(),
    probe: z
      .strictObject({ temperature, depth: depth.optional() })
      .optional()
      .describe('Temperature inside the stack or bale'),
    moisturePercent: moisture.optional(),
    note: note.optional(),
  }),
  answer: hayObservationOut,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/hay-observations/${created.id}`,
});
export const listHayObservations = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/hay-observations',
  operationId: 'listHayObservations',
  tag,
  access: 'read',
  summary: 'What was seen of the hay, newest first',
  params: operationParams,
  query: z.strictObject({ ...eventQuery, ...unitsQuery, hayLotId: id.optional().describe('Only those of this lot') }),
  answer: pageAnswer(hayObservationOut),
  paged: true,
  register: { without: ['lotCautions'] },
});
export const getHayObservation = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/hay-observations/:hayObservationId',
  operationId: 'getHayObservation',
  tag,
  access: 'read',
  summary: 'One look at a hay lot',
  params,
  query: z.strictObject(unitsQuery),
  answer: hayObservationOut,
});
export const reverseHayObservation = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/hay-observations/:hayObservationId/reversal',
  operationId: 'reverseHayObservation',
  tag,
  access: 'daily',
  summary: 'Reverse a look at a hay lot',
  description: 'For one entered by mistake. The cautions that it raised go; those of earlier looks come back.',
  params,
  body: reversalIn,
  answer: reversalOut,
  creates: (_created, { operationId, hayObservationId }) =>
    `/v1/operations/${operationId}/hay-observations/${hayObservationId}`,
});
