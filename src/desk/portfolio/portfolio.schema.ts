import { z } from 'zod';
import { CONCERN_CODES } from '../../core/judge/herd-concerns.data.js';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id } from '../../platform/wire/common.schema.js';
import { judgingQuery } from '../judge/judgement.schema.js';
import { massOut, unitSystem } from '../../platform/wire/quantity.schema.js';

const concern = z.object({
  code: z.enum(CONCERN_CODES).describe('Code that stays the same between releases'),
  weight: z.number().int().describe('0 to 100, the larger the sooner'),
  given: z.number().describe('The number that raised it'),
  threshold: z.number().describe('The threshold it passed; common practice, no source, where no caution says it'),
  unit: z.string().describe('Unit of the number and of the threshold'),
  words: z.string().describe('The same in a sentence'),
});

const herd = z
  .object({
    operationId: id,
    operation: z.string().describe('Name of the operation'),
    herdId: id,
    herd: z.string().describe('Name of the herd'),
    cattleClass: z.string().describe('Class of cattle, for the requirement equations'),
    head: z.number().int().describe('Number of head in the herd today'),
    onDay: day.describe('Today in that operation, or the day asked for'),
    ration: z
      .object({ id, name: z.string().describe('Name of the herd or operation'), inUseFrom: day })
      .describe('In use on the day')
      .nullable(),
    rank: z.number().int().describe('What the list is sorted by: the weightiest concern first, then how many'),
    concerns: z.array(concern).describe('The weightiest first; empty where all is well'),
    expectedDailyGain: massOut.describe('What the ration allows; absent for mature cows').nullable(),
    targetDailyGain: massOut.describe('Gain that is wanted, per head per day').nullable(),
    measuredGain: z
      .object({
        dailyGain: massOut.describe(
          'Mean weight of the newest weighing less that of the earliest comparable one, a day',
        ),
        from: day.describe('Day of the earlier weighing'),
        until: day.describe('Day of the newest'),
        days: z.number().int().describe('Days between the two weighings'),
        flags: z.array(
          z.object({
            code: z.string().describe('Code that stays the same between releases'),
            message: z.string().describe('Why to take it with care'),
            value: z.number().describe('The number that raised it'),
            limit: z.number().describe('The limit it passed'),
            source: z.string().describe('Where the limit comes from'),
          }),
        ),
      })
      .describe('What the weighings of the last 90 days show; absent where no two of them can be compared')
      .nullable(),
    notMeasuredBecause: z.string().describe('Why no gain was measured').nullable(),
    conditionDirection: z.enum(['gain', 'loss', 'steady']).describe('Which way condition goes').nullable(),
    hayLastsDays: z
      .number()
      .describe('Days until the first lot of the ration is empty, if all herds go on as they do')
      .nullable(),
    rationsProposed: z.number().int().describe('Rations of this herd that wait for the ranch'),
    units: unitSystem.describe('Units of this line: those of the operation'),
  })
  .meta({ id: 'PortfolioHerd', description: 'A herd of a client operation, and what about it matters most' });

export const portfolioQuery = z.strictObject({
  ...pageQuery,
  on: day.optional().describe('The day; today in each operation if absent'),
  edition: judgingQuery.edition,
  coldMethod: judgingQuery.coldMethod,
  weather: judgingQuery.weather,
  hayMustLastDays: z.coerce
    .number()
    .int()
    .min(1)
    .max(366)
    .default(60)
    .describe('Days that the hay of a ration has to last'),
  show: z.enum(['all', 'concerns']).default('all').describe('concerns: only herds with at least one'),
});
export const portfolioAnswer = pageAnswer(herd);
export type PortfolioAnswer = z.output<typeof portfolioAnswer>;

export const portfolioOfHerds = endpoint({
  method: 'GET',
  path: '/v1/portfolio/herds',
  operationId: 'listPortfolioHerds',
  tag: 'Portfolio',
  access: 'signed-in',
  summary: 'Every herd of every operation that one consults, what matters most first',
  description:
    'Herds whose ration misses a need, whose gain is off target as reckoned or as weighed, whose hay runs ' +
    "short, whose tests are missing or old. Over all operations in which the one asking may do the desk's work " +
    'at this moment; an engagement that ended shows nothing. Herds without cattle are left out. Each is ' +
    'judged as its ration evaluation judges it, with the weather and the water of the day. No money.',
  query: portfolioQuery,
  answer: portfolioAnswer,
  paged: true,
});
