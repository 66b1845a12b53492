import { z } from 'zod';
import { SAMPLED_FORMS, SAMPLING_TOPICS } from '../../../core/forage/sampling-plan.data.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { id, operationParams, wholeNumber } from '../../../platform/wire/common.schema.js';
import { massOut, unitsQuery, unitSystem } from '../../../platform/wire/quantity.schema.js';
import { unitOf } from '../../../platform/wire/unit.schema.js';
import { cautionOut } from '../../kit/caution.schema.js';

const length = z.object({
  value: z.number().describe('The figure, in the unit beside it'),
  unit: unitOf('length', 'small'),
});
const range = z.object({ from: length, to: length });
const source = z.string().describe('Where it comes from');
const status = z
  .string()
  .describe(
    'Whether it was read in the cited page, is remembered, stands in no part of the page that could be read, or is ' +
      'practice that nobody published',
  );

export const samplingPlanOut = z
  .object({
    hayLotId: id,
    hayLot: z.string().describe('Name of the hay lot'),
    form: z.enum(SAMPLED_FORMS).describe('What the lot is to whoever samples it'),
    lotWeight: massOut.describe('Hay left in the lot now, as fed'),
    bales: z.number().int().describe('Bales that the draw counts; null where the lot is not in bales').nullable(),
    balesFrom: z
      .enum(['asked', 'balance-over-bale-weight'])
      .describe('Whether the request gave the number of bales, or the books do: what is left over the mean bale')
      .nullable(),
    seed: z.string().describe('Seed of the draw; with the same seed and number of bales the same bales are drawn'),
    sampleCount: z
      .number()
      .int()
      .describe('Samples to send, each of its own part of the lot: one for every 200 short tons; average the results'),
    coresPerSample: z.number().int().describe('Cores in each sample; of silage, scoops'),
    samples: z
      .array(
        z.object({
          fromBale: z.number().int().describe('First bale of the part, counted along the walk around the stack'),
          untilBale: z.number().int().describe('Last bale of the part'),
          bales: z
            .array(
              z.object({
                bale: z.number().int().describe('Number of the bale, counted from 1 along the walk'),
                cores: z.number().int().describe('Cores to take of it, at different spots'),
              }),
            )
            .describe('The bales that were drawn, in the order of the walk'),
        }),
      )
      .describe('Which bales to core; empty where the lot is not in bales'),
    probeDepth: range.describe('How deep the probe goes into a bale').nullable(),
    probeDiameter: range.describe("Inner diameter of the probe's cutting edge").nullable(),
    sampleWeight: massOut.describe('About what a sample for the lab weighs').nullable(),
    steps: z
      .array(
        z.object({
          topic: z.enum(SAMPLING_TOPICS).describe('What the rule is about'),
          words: z.string().describe('The rule, in words'),
          source,
          sourceStatus: status,
          otherSources: z
            .array(
              z.object({
                words: z.string().describe('What the other publication says instead'),
                source,
                sourceStatus: status,
              }),
            )
            .describe('What other publications say'),
        }),
      )
      .describe('How to take the sample, in the order of the work, each rule with its source'),
    cautions: z.array(cautionOut).describe('What was seen of the lot that matters to whoever puts a probe into it'),
    units: unitSystem.describe('Units of this answer'),
  })
  .meta({ id: 'SamplingPlan', description: 'Which bales of a lot to core for the lab, and how; published rules' });

/** Which draw is asked for, at the API and on the page of a lot. */
export const samplingPlanQuery = z.strictObject({
  ...unitsQuery,
  seed: z
    .string()
    .regex(/^\d{1,15}$/, 'must be a whole number of at most 15 digits')
    .default('1')
    .describe('Seed of the draw, a whole number; another one draws other bales'),
  bales: wholeNumber(1, 100000)
    .optional()
    .describe('How many bales the lot has, where that was counted; left out, what is left over the mean bale'),
});
export const samplingPlanParams = operationParams.extend({ hayLotId: id });

export const getSamplingPlan = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/hay-lots/:hayLotId/sampling-plan',
  operationId: 'getSamplingPlan',
  tag: 'Lab tests',
  access: 'read',
  summary: 'Which bales of a lot to core for the lab, and how',
  description:
    'At least 20 cores to a sample, one to a bale, from bales drawn at random; a lot above 200 short tons is sampled ' +
    'in parts. The draw can be repeated: it rests on the seed and the number of bales alone. Hot hay is not cored: ' +
    'where its heat is a danger, no bale is drawn.',
  params: samplingPlanParams,
  query: samplingPlanQuery,
  answer: samplingPlanOut,
});
