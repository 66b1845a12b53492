import { z } from 'zod';
import { endpoint } from '../../../platform/http/endpoint.js';
import { id, instantIn, instantOut, operationParams } from '../../../platform/wire/common.schema.js';
import { confirmQuery } from '../../../platform/wire/confirm.schema.js';
import { eventQuery } from '../../kit/day-range.js';
import { importOut } from '../import.schema.js';
import { ICAR_MASS_UNITS, ICAR_WEIGHT_METHODS, type IcarMassUnit } from './icar-weight.data.js';

const tag = 'Import';
const units = z.enum(Object.keys(ICAR_MASS_UNITS) as [IcarMassUnit, ...IcarMassUnit[]]);
const method = z.enum(ICAR_WEIGHT_METHODS);
const text = z.string().max(200);

/** Fields of the standard that we do not use are accepted and ignored. */
const eventIn = z.looseObject({
  resourceType: z.literal('icarWeightEventResource').optional().describe('The kind of resource'),
  id: text.optional().describe('Identifier in the system it came from'),
  animal: z
    .looseObject({
      id: z.string().trim().min(1).max(40).describe('ISO 11784 number of 15 digits, or a tag as read by eye'),
      scheme: text.describe('Scheme of the identifier, in reverse domain form'),
    })
    .describe('Id of the animal that was weighed'),
  eventDateTime: instantIn.describe(
    'Time of the weighing, with its offset; midnight at the ranch is read as a day without a time',
  ),
  weight: z
    .looseObject({
      measurement: z.number().positive().max(1e7).describe('The figure as it was read from the file'),
      units: units.nullish().describe('UN/CEFACT code; kilograms (KGM) if none is given'),
      method: method.nullish().describe('How it was observed; LoadCell if none is given'),
      resolution: z.number().positive().nullish().describe('Smallest step of the scale, in the same units'),
    })
    .describe('The weight that was read'),
  device: z
    .looseObject({
      manufacturerName: text.nullish().describe('Maker of the scale or reader'),
      model: text.nullish().describe('Model of the scale or reader'),
      serial: text.nullish().describe('Serial number of the scale or reader'),
    })
    .nullish()
    .describe('What it was weighed with'),
  timeOffFeed: z.number().min(0).max(72).nullish().describe('Hours off feed before weighing'),
});
export type IcarWeightIn = z.output<typeof eventIn>;

export const importIcarWeights = endpoint({
  method: 'POST',
  transaction: 'own',
  path: '/v1/operations/:operationId/imports/icar-weights',
  operationId: 'importIcarWeights',
  tag,
  access: 'daily',
  summary: 'Take in weight events of the ICAR Animal Data Exchange standard',
  description:
    'A collection of icarWeightEventResource under `member`. Events of one day at the ranch with the same hours ' +
    'off feed and device make one weigh-in; a second weight of an animal on a day makes another. All of it or ' +
    'nothing; the same collection for the same herd again is answered with the first import of it.',
  params: operationParams,
  query: z.strictObject({
    ...confirmQuery,
    herdId: id.describe('The herd that was weighed'),
    fill: z
      .enum(['full', 'shrunk'])
      .optional()
      .describe('Left out: shrunk where hours off feed are given and above 0, else full'),
    estimates: z
      .enum(['refuse', 'take'])
      .default('refuse')
      .describe('What to do with weights that were not read from a scale (Girth, Assessed, Predicted, Imaged)'),
  }),
  body: z.looseObject({ member: z.array(eventIn).min(1).max(5000).describe('The events of the page') }),
  answer: importOut,
  creates: (made, { operationId }) => `/v1/operations/${operationId}/imports/${made.id}`,
  problems: ['import-refused'],
});

const eventOut = z.object({
  resourceType: z.literal('icarWeightEventResource').describe('The kind of resource'),
  id: z.string().describe('Weigh-in, and position in it'),
  animal: z.object({
    id: z.string().describe('ISO 11784 number, or the tag'),
    scheme: z.string().describe('Scheme that the id belongs to'),
  }),
  eventDateTime: instantOut,
  location: z.object({
    id: z.string().describe('Id of the ranch that the animals belong to'),
    scheme: z.string().describe('Scheme that the id belongs to'),
  }),
  weight: z
    .object({
      measurement: z.number().describe('The figure as it was read from the file'),
      units: units.describe('UN/CEFACT code of the unit'),
      method: method.optional().describe('How it was observed'),
    })
    .describe('The weight that was read'),
  device: z.object({ model: z.string().describe('What it was weighed with') }).optional(),
  timeOffFeed: z.number().optional().describe('Hours off feed before weighing'),
});

export const exportIcarWeights = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/icar-weight-events',
  operationId: 'exportIcarWeights',
  tag,
  access: 'read',
  summary: 'Weights as events of the ICAR Animal Data Exchange standard',
  description:
    'Animal by animal, as read: a shrink that was taken off on paper has no field in the standard, nor has a ' +
    'stand off feed whose hours are not known. Weigh-ins of groups and those reversed are left out. Pages ' +
    'count weigh-ins.',
  params: operationParams,
  query: z.strictObject({ ...eventQuery, herdId: id.optional().describe('Only those of this herd') }),
  answer: z
    .object({
      member: z.array(eventOut).describe('The events of the page'),
      nextCursor: z.string().describe('Opaque cursor of the next page; null on the last page').nullable(),
    })
    .meta({ id: 'IcarWeightEvents', description: 'A page of weight events' }),
  paged: true,
});
