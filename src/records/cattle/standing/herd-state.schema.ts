import { z } from 'zod';
import { ANIMAL_CLASSES, ANIMAL_SEXES } from '../../../core/requirements/requirement-set.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, instantIn, operationParams } from '../../../platform/wire/common.schema.js';
import { massOut, unitsQuery, unitSystem } from '../../../platform/wire/quantity.schema.js';

const percent = z.number().min(0).max(100);

const part = z
  .object({
    sharePercent: percent.describe('Share of the herd, %'),
    cattleClass: z.enum(ANIMAL_CLASSES).describe('Class of cattle, for the requirement equations'),
    sex: z.enum(ANIMAL_SEXES).describe('Sex of the cattle, for the requirement equations'),
    daysPregnant: z.number().describe('Days since conception; null where they are not known to be pregnant').nullable(),
    daysInMilk: z.number().describe('Days since calving; null where they are dry').nullable(),
  })
  .meta({ id: 'HerdPart', description: 'Animals of a herd that are in the same stage' });

const calving = z
  .object({
    how: z.enum(['recorded', 'expected']).describe('Written down, or 283 days after the breeding'),
    breeding: z
      .enum(['recorded', 'from-the-calving', 'assumed'])
      .describe('Written down, counted back from the calving, or taken to be as in the year before'),
    firstOn: day,
    medianOn: day.describe('Day by which half of them have calved'),
    lastOn: day,
    calvedPercent: percent.describe('Share of the herd that has calved by the day, %'),
    openPercent: percent.describe('Share of the herd that is open, by the pregnancy check, %'),
  })
  .meta({ id: 'HerdCalving', description: 'The calving that goes on or comes next, else the last one' });

const state = z
  .object({
    herdId: id,
    herd: z.string().describe('Name of the herd'),
    on: day,
    units: unitSystem.describe('Units of this answer'),
    parts: z.array(part).describe('The herd by stage; the shares add up to 100'),
    pregnantPercent: percent.describe('Share that is pregnant, %'),
    inMilkPercent: percent.describe('Share that is in milk, %'),
    calving: calving.nullable(),
    condition: z
      .object({
        score: z.number().describe('Body condition score, 1 to 9'),
        scoredOn: day,
        daysAgo: z.number().int().describe('Days from the scoring to the day; below zero where it was scored later'),
      })
      .describe('The newest score up to the day; null where none was written down')
      .nullable(),
    targetDailyGain: massOut.describe('Gain wanted, a day, as shrunk weight').nullable(),
    placeId: id.nullable(),
    weight: z.object({
      mean: massOut.describe('Mean full weight, calf and fluids of the pregnant left out'),
      plusMinus: massOut.describe('How far off it may be, by common practice'),
      conceptus: massOut.describe('What the pregnant carry besides, a head over the whole herd'),
      takenOn: day.describe('Day of the weight that it rests on'),
      taken: massOut.describe('That weight, full, calf and fluids left out'),
      from: z.string().describe('Where the weight comes from'),
    }),
    restsOn: z
      .array(
        z.object({
          code: z.string().describe('Code that stays the same between releases'),
          sureness: z
            .enum(['recorded', 'expected', 'assumed', 'not-known'])
            .describe('Written down, following from it by a known rule, taken for want of better, or not known'),
          message: z.string().describe('What it rests on, in a sentence'),
        }),
      )
      .describe('What each part of the state rests on'),
  })
  .meta({ id: 'HerdState', description: 'What a herd is on a day, and what that rests on' });

export const getHerdState = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/herds/:herdId/state',
  operationId: 'getHerdState',
  tag: 'Herds',
  access: 'read',
  summary: 'What a herd is on a day',
  description:
    'Stage by shares of the herd, condition, gain wanted, place and weight, read from its events, weigh-ins and head ' +
    'changes. Weight is the newest one, carried on by the gain that is wanted, else by the gain between the last two ' +
    'weighings, else of heifers by what brings them to their target weights.',
  params: operationParams.extend({ herdId: id }),
  query: z.strictObject({
    ...unitsQuery,
    on: day.optional().describe('The day; today at the ranch if absent'),
    knownAt: instantIn.optional().describe('Only from what had been written down by then'),
  }),
  answer: state,
});
