import { z } from 'zod';
import { figureText } from '../../core/units/decimal.js';
import { layerRole } from '../kit/layer.schema.js';
import { LAYING_WEATHER } from '../../core/laying/layer.js';
import { pageAnswer } from '../../platform/http/cursor.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, instantIn, instantOut, note, operationParams } from '../../platform/wire/common.schema.js';
import { confirmedOut, entryQuery } from '../../platform/wire/confirm.schema.js';
import {
  decimalIn,
  massIn,
  massInOrZero,
  massOut,
  typedMassOut,
  unitsQuery,
} from '../../platform/wire/quantity.schema.js';
import { cautionOut } from '../kit/caution.schema.js';
import { eventQuery } from '../kit/day-range.js';
import { CORRECTION_WORDS, correctionIn, correctionOut, correctionQuery } from '../kit/correction.schema.js';
import { reversalIn, reversalOut } from '../kit/reversal.schema.js';
import { heldCountsOut, stockReversalOut } from '../hay/stock/held-counts.schema.js';
import { confirmedCount } from '../hay/stock-counts/stock-count.schema.js';
import { postedLateOut, postingFields } from '../kit/posting.schema.js';
import { FEEDING_METHODS } from '../../platform/wire/words.data.js';

const method = z.enum(FEEDING_METHODS).describe('How it was offered');
const weather = z.enum(LAYING_WEATHER).describe('Weather or state of the hay while laying');
const role = layerRole;
const bales = decimalIn
  .refine(
    (value) => Number(value) > 0 && figureText({ digits: 5, places: 3 }).test(value),
    'must be a number of bales above 0, with at most three decimal places',
  )
  .describe("Bales, fractions allowed, at the lot's mean bale weight");

const freeChoice = z
  .boolean()
  .describe('True for what is kept in front of the cattle and not laid, such as mineral or salt: none of it is wasted');

const partIn = z.union([
  z
    .strictObject({ hayLotId: id, weight: massIn, freeChoice: freeChoice.default(false) })
    .describe('Given by weight, as fed'),
  z
    .strictObject({ hayLotId: id, bales, freeChoice: freeChoice.default(false) })
    .describe("Given in bales, at the lot's mean bale weight"),
]);
const layerIn = z.strictObject({
  role,
  parts: z.array(partIn).min(1).max(10).describe('The lot or lots of this layer'),
});

const partOut = z.object({
  hayLotId: id,
  hayLot: z.string().describe('Name of the hay lot'),
  weight: typedMassOut,
  freeChoice,
});
const feeding = z
  .object({
    id,
    herdId: id,
    ranchId: id,
    placeId: id.nullable(),
    fedOn: day,
    fedAt: instantOut.nullable(),
    headFed: z.number().int().describe('Number of head that were fed'),
    method,
    weather,
    blended: z.boolean().describe('True if the layers were mixed when they were fed'),
    layers: z
      .array(
        z.object({
          position: z.number().int().describe('Place of the layer in the stack; 1 is the bottom'),
          role,
          weight: massOut.describe('Weight of the whole layer'),
          parts: z.array(partOut),
        }),
      )
      .describe('In build order, bottom first'),
    total: massOut,
    perHead: massOut.describe('Hay fed per head'),
    refused: typedMassOut.nullable(),
    wasted: typedMassOut.nullable(),
    countIds: z.array(id).describe('Ids of the counts that were confirmed with it'),
    sameDayFeedingIds: z
      .array(id)
      .describe('Other feedings of this herd on that day that were not reversed: somebody may have fed it already'),
    postedLate: postedLateOut.nullable(),
    confirmed: confirmedOut,
    heldCounts: heldCountsOut,
    cautions: z.array(cautionOut),
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    reversal: reversalOut.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'Feeding', description: 'What a herd was fed, layer by layer; never edited, only reversed' });

/** In a list, without cautions and counts: judging each one takes everything known about its day. */
const listedFeeding = feeding.omit({ cautions: true, heldCounts: true }).meta({
  id: 'ListedFeeding',
  description: 'A feeding as in a list; read it by itself to see its cautions',
});

const params = operationParams.extend({ feedingId: id });
const tag = 'Feedings';

const feedingBody = z.strictObject({
  herdId: id,
  placeId: id.optional().describe("Id of the place; left out, the herd's own"),
  fedOn: day,
  fedAt: instantIn.optional().describe('Time, if it was noted; on the same day at the ranch'),
  headFed: z.number().int().min(1).max(100_000).optional().describe("Head fed; left out, the herd's head on that day"),
  method,
  weather: weather.default('dry'),
  blended: z.boolean().default(false).describe('True if the layers were mixed when they were fed'),
  layers: z.array(layerIn).min(1).max(12).describe('In build order, bottom first'),
  refused: massInOrZero.optional().describe('Hay left uneaten and taken up'),
  wasted: massInOrZero.optional().describe('Hay trampled or soiled, as measured'),
  note: note.optional(),
  confirmedCounts: z
    .array(confirmedCount.extend({ hayLotId: id }))
    .min(1)
    .max(30)
    .optional()
    .describe('Lots that were counted before this feeding, one entry per lot'),
  ...postingFields,
});

export const createFeeding = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/feedings',
  operationId: 'createFeeding',
  tag,
  access: 'daily',
  summary: 'Enter a feeding',
  description:
    'Layers in build order, bottom first. Draws the hay from every lot in one transaction; refused if a ' +
    'lot has too little.',
  params: operationParams,
  query: z.strictObject(entryQuery),
  body: feedingBody,
  answer: feeding,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/feedings/${created.id}`,
  problems: ['lot-short', 'period-closed', 'conflict'],
});
export const listFeedings = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/feedings',
  operationId: 'listFeedings',
  tag,
  access: 'read',
  summary: 'Feedings, newest first',
  params: operationParams,
  query: z.strictObject({ ...eventQuery, ...unitsQuery, herdId: id.optional().describe('Only those of this herd') }),
  answer: pageAnswer(listedFeeding),
  paged: true,
  register: { lines: ['layers', 'layers.parts'], without: ['layers.weight'] },
});
export const getFeeding = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/feedings/:feedingId',
  operationId: 'getFeeding',
  tag,
  access: 'read',
  summary: 'One feeding',
  params,
  query: z.strictObject(unitsQuery),
  answer: feeding,
});
export const correctFeeding = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/feedings/:feedingId/correction',
  operationId: 'correctFeeding',
  tag,
  access: 'daily',
  summary: 'Correct a feeding in one call',
  description: CORRECTION_WORDS,
  params,
  query: correctionQuery,
  body: correctionIn(feedingBody),
  answer: correctionOut(feeding),
  creates: (made, { operationId }) => `/v1/operations/${operationId}/feedings/${made.entry.id}`,
  problems: ['lot-short', 'period-closed'],
});
export const reverseFeeding = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/feedings/:feedingId/reversal',
  operationId: 'reverseFeeding',
  tag,
  access: 'daily',
  summary: 'Reverse a feeding',
  description: 'Gives the hay back to its lots, with a reason.',
  params,
  query: z.strictObject(unitsQuery),
  body: reversalIn,
  answer: stockReversalOut,
  creates: (_created, { operationId, feedingId }) => `/v1/operations/${operationId}/feedings/${feedingId}`,
});
