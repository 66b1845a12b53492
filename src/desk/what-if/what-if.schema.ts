import { z } from 'zod';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, line, operationParams } from '../../platform/wire/common.schema.js';
import { massIn } from '../../platform/wire/quantity.schema.js';
import { condition } from '../../records/cattle/herds/body-condition.schema.js';
import { analysisIn, basis } from '../../records/hay/lab-tests/lab-test.schema.js';
import { weatherFields } from '../../records/yard/weather-days/weather-day.schema.js';
import { judgingQuery } from '../judge/judgement.schema.js';
import { evaluationOut, unsavedContent } from '../rations/ration.schema.js';

const assumptions = z
  .strictObject({
    weather: z.strictObject(weatherFields).optional().describe('Weather of the day, in place of what was recorded'),
    bodyWeight: massIn.optional().describe('Mean full weight of every herd asked about'),
    bodyCondition: condition.optional(),
    tests: z
      .array(z.strictObject({ hayLotId: id, basis, analysis: analysisIn }))
      .max(20)
      .optional()
      .describe('Test values of lots, each lot once; a value that is not assumed stays as it is on record'),
  })
  .describe('What is taken to be so; everything else is as the records say');

const asked = z
  .discriminatedUnion('kind', [
    z.strictObject({ kind: z.literal('in-use').describe('The ration that each herd is on that day') }),
    z.strictObject({ kind: z.literal('present').describe('What each herd was fed in its last week of feeding') }),
    z.strictObject({ kind: z.literal('kept').describe('A ration on record, for any of the herds'), rationId: id }),
    z.strictObject({
      kind: z.literal('unsaved').describe('A ration that is only asked about'),
      name: line(120).describe('What to call it in the answer'),
      ...unsavedContent,
    }),
  ])
  .describe('A ration to compare');

const compared = z.object({
  ration: z.string().describe('Name of the ration, or what it is'),
  evaluation: evaluationOut.nullable().describe('null where the herd has no such ration, and notThereBecause says why'),
  notThereBecause: z.string().describe('Why there is nothing to judge; null where there is').nullable(),
});

export const judgeWhatIf = endpoint({
  method: 'POST',
  transaction: 'read',
  path: '/v1/operations/:operationId/what-if',
  operationId: 'judgeWhatIf',
  tag: 'Rations',
  access: 'desk',
  status: 200,
  summary: 'Judge one to four rations side by side, for one or many herds, under assumptions',
  description:
    'Weather, weight, condition or test values may be assumed; everything else is as the records say. The judge is ' +
    'the one of the ration evaluation. Nothing is saved.',
  params: operationParams,
  query: z.strictObject({ ...judgingQuery, on: day.optional().describe('Day to judge on; today if left out') }),
  body: z.strictObject({
    herdIds: z.array(id).min(1).max(20).describe('The herds, each once'),
    assume: assumptions.default({}),
    rations: z.array(asked).min(1).max(4).describe('The rations, in the order of the answer'),
  }),
  answer: z
    .object({
      herds: z
        .array(z.object({ herdId: id, herd: z.string().describe('Name of the herd'), rations: z.array(compared) }))
        .describe('In the order asked'),
    })
    .meta({ id: 'WhatIf', description: 'Rations side by side, under assumptions; nothing of it is kept' }),
});
