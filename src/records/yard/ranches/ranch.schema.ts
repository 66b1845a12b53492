import { z } from 'zod';
import { figureText } from '../../../core/units/decimal.js';
import { pageAnswer, pageQuery } from '../../../platform/http/cursor.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { id, instantOut, name, operationParams, timeZone, version } from '../../../platform/wire/common.schema.js';
import { typedLengthOut, unitsQuery } from '../../../platform/wire/quantity.schema.js';
import { unitOf } from '../../../platform/wire/unit.schema.js';
import { PLACE_KINDS } from '../../../platform/wire/words.data.js';

const ranch = z
  .object({
    id,
    name: z.string().describe('Name of the ranch or place'),
    timeZone: z.string().describe('IANA time zone; a day at this ranch is a day there'),
    createdAt: instantOut,
    version,
  })
  .meta({ id: 'Ranch', description: 'A ranch of an operation' });
const params = operationParams.extend({ ranchId: id });

export const createRanch = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/ranches',
  operationId: 'createRanch',
  tag: 'Ranches and places',
  access: 'records',
  summary: 'Add a ranch',
  params: operationParams,
  body: z.strictObject({
    name,
    timeZone: timeZone.optional().describe("IANA time zone; left out, the operation's own"),
  }),
  answer: ranch,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/ranches/${created.id}`,
  versioned: true,
});
export const listRanches = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/ranches',
  operationId: 'listRanches',
  tag: 'Ranches and places',
  access: 'read',
  summary: 'The ranches of an operation',
  params: operationParams,
  query: z.strictObject(pageQuery),
  answer: pageAnswer(ranch),
  paged: true,
});
export const getRanch = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/ranches/:ranchId',
  operationId: 'getRanch',
  tag: 'Ranches and places',
  access: 'read',
  summary: 'One ranch',
  params,
  answer: ranch,
  versioned: true,
});
export const changeRanch = endpoint({
  method: 'PATCH',
  path: '/v1/operations/:operationId/ranches/:ranchId',
  operationId: 'changeRanch',
  tag: 'Ranches and places',
  access: 'records',
  summary: 'Change a ranch',
  params,
  body: z.strictObject({ name: name.optional(), timeZone: timeZone.optional() }),
  answer: ranch,
  changes: true,
  versioned: true,
});

const placeKind = z.enum(PLACE_KINDS).describe('What sort of place it is');
const length = z.strictObject({
  value: z
    .union([z.string().regex(figureText({ digits: 6, places: 3 })), z.number().positive().max(999_999)])
    .transform(String)
    .describe('Length as text or number'),
  unit: unitOf('length', 'large'),
});
const place = z
  .object({
    id,
    ranchId: id,
    name: z.string().describe('Name of the ranch or place'),
    kind: placeKind,
    bunkLength: typedLengthOut.describe('Length along which cattle can eat').nullable(),
    createdAt: instantOut,
    version,
  })
  .meta({ id: 'Place', description: 'A pen, bunk line, pasture, stackyard or barn of a ranch' });
const placeParams = operationParams.extend({ placeId: id });

export const createPlace = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/places',
  operationId: 'createPlace',
  tag: 'Ranches and places',
  access: 'records',
  summary: 'Add a place',
  params: operationParams,
  query: z.strictObject(unitsQuery),
  body: z.strictObject({
    ranchId: id,
    name,
    kind: placeKind,
    bunkLength: length.optional().describe('Length along which cattle can eat'),
  }),
  answer: place,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/places/${created.id}`,
  versioned: true,
});
export const listPlaces = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/places',
  operationId: 'listPlaces',
  tag: 'Ranches and places',
  access: 'read',
  summary: 'Places, of one ranch or of all',
  params: operationParams,
  query: z.strictObject({ ...pageQuery, ...unitsQuery, ranchId: id.optional().describe('Only those of this ranch') }),
  answer: pageAnswer(place),
  paged: true,
  register: {},
});
export const getPlace = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/places/:placeId',
  operationId: 'getPlace',
  tag: 'Ranches and places',
  access: 'read',
  summary: 'One place',
  params: placeParams,
  query: z.strictObject(unitsQuery),
  answer: place,
  versioned: true,
});
export const changePlace = endpoint({
  method: 'PATCH',
  path: '/v1/operations/:operationId/places/:placeId',
  operationId: 'changePlace',
  tag: 'Ranches and places',
  access: 'records',
  summary: 'Change a place',
  params: placeParams,
  query: z.strictObject(unitsQuery),
  body: z.strictObject({
    name: name.optional(),
    kind: placeKind.optional(),
    bunkLength: length.nullable().optional().describe('Length along which cattle can eat; null removes it'),
  }),
  answer: place,
  changes: true,
  versioned: true,
});
