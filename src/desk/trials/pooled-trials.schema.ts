import { z } from 'zod';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, operationParams } from '../../platform/wire/common.schema.js';
import { massOut, unitsQuery, unitSystem } from '../../platform/wire/quantity.schema.js';
import { tag } from './trial.schema.js';

const UUIDS = /^[0-9a-f-]{36}(,[0-9a-f-]{36}){1,49}$/i;

const pooled = z
  .object({
    units: unitSystem.describe('Units of this answer'),
    trials: z.array(
      z.object({
        trialId: id,
        trial: z.string().describe('Name of the trial'),
        question: z.string().describe('The question that the trial asked'),
        usual: z.string().describe('Name of the usual feeding'),
        change: z.string().describe('Name of the change'),
        judgementId: id.describe('The judgment that counts: the last one of the trial once it was over'),
        asOf: day,
        difference: massOut.describe('Gain of the change less gain of the usual feeding, per head per day'),
        standardError: massOut,
        partOfAnswer: z.number().describe('Share of the pooled answer that comes from this trial, 0 to 1'),
      }),
    ),
    difference: massOut.describe('Mean difference over herds and winters like these, per head per day'),
    low: massOut.describe('Low end of its interval'),
    high: massOut.describe('High end of its interval'),
    standardError: massOut,
    degreesOfFreedom: z.number().int().describe('One less than the trials'),
    confidence: z.number().describe('Confidence of both intervals, 0 to 1'),
    nextHerd: z
      .object({ low: massOut, high: massOut })
      .describe('Between which two the true difference of one more herd would lie'),
    betweenTrials: massOut.describe('Standard deviation of the true differences from trial to trial'),
    betweenTrialsShare: z.number().describe('Share of what sets the trials apart that is more than chance, 0 to 1'),
    words: z.array(z.string()).describe('The same in sentences, to be read out as they stand'),
  })
  .meta({ id: 'PooledTrials', description: 'Several trials of one question, of one operation, taken together' });

export const getPooledTrials = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/pooled-trials',
  operationId: 'getPooledTrials',
  tag,
  access: 'read',
  summary: 'Several trials of one question taken together',
  description:
    'Random effects over the last judgments of trials that are over, each with one change (variance between trials ' +
    'by restricted maximum likelihood, interval by Knapp and Hartung 2003), with an interval for the next herd. ' +
    'Whether the trials asked one question is for whoever names them to say.',
  params: operationParams,
  query: z.strictObject({
    ...unitsQuery,
    trials: z
      .string()
      .regex(UUIDS, 'must be 2 to 50 ids of trials, separated by commas')
      .transform((ids) => [...new Set(ids.toLowerCase().split(','))])
      .describe('Ids of the trials, separated by commas'),
    confidence: z.coerce.number().min(0.5).max(0.999).default(0.95).describe('Confidence of both intervals'),
  }),
  answer: pooled,
  problems: ['conflict'],
});
