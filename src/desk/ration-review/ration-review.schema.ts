import { z } from 'zod';
import { REQUIREMENT_EDITIONS } from '../../core/requirements/requirement-set.js';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, operationParams } from '../../platform/wire/common.schema.js';
import { massOut, unitSystem } from '../../platform/wire/quantity.schema.js';
import { testTakenFromOut } from '../../records/hay/lab-tests/lab-test.schema.js';
import { weatherOut } from '../facts/weather.schema.js';
import { judgementShape, judgingQuery } from '../judge/judgement.schema.js';

export const review = z
  .object({
    herdId: id,
    herd: z.string().describe('Name of the herd'),
    onDay: day,
    edition: z.enum(REQUIREMENT_EDITIONS).describe('Published requirement system that was used'),
    units: unitSystem.describe('Units of this answer'),
    head: z.number().int().describe('Head on the day'),
    bodyWeight: massOut.describe('Mean full weight that was used'),
    bodyWeightFrom: z.string().describe('Where that weight comes from'),
    weather: weatherOut.nullable(),
    feedings: z
      .object({
        from: day,
        until: day,
        count: z.number().int().describe('Number of feedings averaged'),
        daysAgo: z
          .number()
          .int()
          .describe('Days from the last of them to the day of the review; above 28 the herd is not judged by them'),
      })
      .describe('The feedings that make up the present ration; null where none was recorded')
      .nullable(),
    layers: z.array(
      z.object({
        role: z.string().describe('Role of the layer: coarse, rich or mixed'),
        hayLotId: id,
        hayLot: z.string().describe('Name of the hay lot'),
        perHead: massOut.describe('Hay offered per head per day, as fed'),
        testedOn: day.describe('Day of the newest sample; null where book values stand in').nullable(),
        testTakenFrom: testTakenFromOut,
      }),
    ),
    ...judgementShape,
  })
  .meta({
    id: 'RationReview',
    description:
      'What a herd is fed at present against what it needs; an aid to a licensed nutritionist, not a substitute',
  });

export const listRationReviews = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/ration-reviews',
  operationId: 'listRationReviews',
  tag: 'Rations',
  access: 'read',
  summary: "Each herd's present ration against its requirements",
  description:
    'The present ration is the mean of the feedings of the last seven days on which the herd was fed; where ' +
    'the last of them lies more than 28 days back, the herd is not judged by it. Herds ' +
    'without cattle on that day are left out.',
  params: operationParams,
  query: z.strictObject({ ...pageQuery, ...judgingQuery }),
  answer: pageAnswer(review),
  paged: true,
  inThread: 'many-herds',
});
export const getRationReview = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/herds/:herdId/ration-review',
  operationId: 'getRationReview',
  tag: 'Rations',
  access: 'read',
  summary: "One herd's present ration against its requirements",
  params: operationParams.extend({ herdId: id }),
  query: z.strictObject(judgingQuery),
  answer: review,
});
