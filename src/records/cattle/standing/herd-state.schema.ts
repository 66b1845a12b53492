import { z } from 'zod';
import { ANIMAL_CLASSES, ANIMAL_SEXES } from '../../../core/requirements/requirement-set.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, instantIn, operationParams } from '../../../platform/wire/common.schema.js';
import { massOut, unitsQuery, unitSystem } from '../../../platform/wire/quantity.schema.js';

const WEIGHT_TAKEN = ['weigh-in', 'stated-weight', 'entry'] as const;
const percent = z.number().min(0).max(100);

const part = z
  .object({
    sharePercent: percent.describe('Share of the herd, %'),
    cattleClass: z.enum(ANIMAL_CLASSES).describe('Class of cattle, for the requirement equations'),
    sex: z.enum(ANIMAL_SEXES).describe('Sex of the cattle, for the requirement equations'),
    daysPregnant: z.number().describe('Days since conception; null if not known to be pregnant').nullable(),
    daysInMilk: z.number().describe('Days since calving; null if dry').nullable(),
  })
  .meta({ id: 'HerdPart', description: 'Animals of a herd at the same stage' });

const calving = z
  .object({
    how: z.enum(['recorded', 'expected']).describe('recorded: entered as an event; expected: 283 days after breeding'),
    breeding: z
      .enum(['recorded', 'from-the-calving', 'assumed'])
      .describe('recorded: entered; from-the-calving: counted back from the calving; assumed: as in the year before'),
    firstOn: day,
    medianOn: day.describe('Day by which half of the herd has calved'),
    lastOn: day,
    calvedPercent: percent.describe('Share of the herd that has calved by this day, %'),
    openPercent: percent.describe('Share of the herd found open at the pregnancy check, %'),
  })
  .meta({ id: 'HerdCalving', description: 'The calving season under way or coming next, or else the last one' });

export const herdStateOut = z
  .object({
    herdId: id,
    herd: z.string().describe('Name of the herd'),
    on: day,
    units: unitSystem.describe('Units of this answer'),
    parts: z.array(part).describe('The herd by stage; the shares add up to 100 %'),
    pregnantPercent: percent.describe('Share of the herd that is pregnant, %'),
    inMilkPercent: percent.describe('Share of the herd that is in milk, %'),
    calving: calving.nullable(),
    condition: z
      .object({
        score: z.number().describe('Body condition score, 1 to 9'),
        scoredOn: day,
        daysAgo: z
          .number()
          .int()
          .describe('Days from the scoring to this day; null where the herd was scored only after it')
          .nullable(),
        from: z
          .enum(['entry', 'scored'])
          .describe('entry: the score that the herd was entered with; scored: recorded since then'),
      })
      .describe('Latest score up to this day; null if none was recorded')
      .nullable(),
    targetDailyGain: massOut.describe('Target gain per day, shrunk weight').nullable(),
    placeId: id.nullable(),
    weight: z.object({
      mean: massOut.describe('Mean full weight, without the calf and fluids that pregnant cattle carry'),
      plusMinus: massOut.describe('How far off the mean may be, by common practice'),
      conceptus: massOut.describe('Calf and fluids carried besides, averaged per head over the whole herd'),
      takenOn: day.describe('Day of the weight it is based on'),
      taken: massOut.describe('That weight, full, without calf and fluids'),
      asWeighed: massOut.describe('That weight, full, with the calf and fluids that the scale showed too'),
      from: z.string().describe('Where that weight comes from'),
    }),
    restsOn: z
      .array(
        z.object({
          code: z.string().describe('Code that stays the same between releases'),
          sureness: z
            .enum(['recorded', 'expected', 'assumed', 'not-known'])
            .describe(
              'recorded: entered; expected: follows from what was entered by a known rule; assumed: a default, ' +
                'since nothing was entered; not-known: no value',
            ),
          message: z.string().describe('What it is based on, in a sentence'),
        }),
      )
      .describe('What each part of the state is based on'),
  })
  .meta({ id: 'HerdState', description: 'The state of a herd on a day, and what it is based on' });

export const getHerdState = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/herds/:herdId/state',
  operationId: 'getHerdState',
  tag: 'Herds',
  access: 'read',
  summary: 'The state of a herd on a day',
  description:
    'Stage (by shares of the herd), condition, target gain, place and weight, from its events, weigh-ins and head ' +
    'changes. Weight is the latest one, projected by the target gain, or else by the gain between the last two ' +
    'weigh-ins, or else, for heifers, by the gain that takes them to their target weights.',
  params: operationParams.extend({ herdId: id }),
  query: z.strictObject({
    ...unitsQuery,
    on: day.optional().describe('Day to report on; today at the ranch if left out'),
    knownAt: instantIn.optional().describe('Use only what had been entered by this moment'),
  }),
  answer: herdStateOut,
});

const trendPoint = z.object({
  on: day,
  mean: massOut.describe('Mean full weight, without the calf and fluids that pregnant cattle carry'),
  plusMinus: massOut.describe('How far off the mean may be, by common practice'),
  takenOn: day.describe('Day of the weight it is based on; the day itself where it was taken then'),
  taken: z
    .enum(WEIGHT_TAKEN)
    .describe('weigh-in: over the scale; stated-weight: by eye, tape or sale sheet; entry: as the herd was entered'),
});

export const herdWeightTrendOut = z
  .object({
    herdId: id,
    herd: z.string().describe('Name of the herd'),
    from: day,
    until: day,
    units: unitSystem.describe('Units of this answer'),
    targetDailyGain: massOut.describe('Target gain per day on the last day, shrunk weight').nullable(),
    weights: z.array(trendPoint).describe('The weight on each of these days, oldest first'),
  })
  .meta({ id: 'HerdWeightTrend', description: 'Mean weight of a herd through some days' });

export const getHerdWeightTrend = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/herds/:herdId/weight-trend',
  operationId: 'getHerdWeightTrend',
  tag: 'Herds',
  access: 'read',
  summary: 'Weight of a herd over some days, as taken and as projected',
  description:
    'The mean weight that the state of the herd tells, on every seventh day, on the first and the last, and on each ' +
    'day on which a weight was taken.',
  params: operationParams.extend({ herdId: id }),
  query: z.strictObject({
    ...unitsQuery,
    from: day.describe('First day, included'),
    until: day.describe('Last day, included; at most 731 days in all'),
  }),
  answer: herdWeightTrendOut,
});
