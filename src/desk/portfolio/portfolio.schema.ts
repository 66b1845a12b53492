import { z } from 'zod';
import { CONCERN_CODES } from '../../core/judge/herd-concerns.data.js';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, wholeNumber } from '../../platform/wire/common.schema.js';
import { weatherQuery } from '../facts/weather.schema.js';
import { judgingQuery, nutrientLineOut } from '../judge/judgement.schema.js';
import { massOut, unitsQuery, unitSystem } from '../../platform/wire/quantity.schema.js';

const concern = z.object({
  code: z.enum(CONCERN_CODES).describe('Code that stays the same between releases'),
  weight: z.number().int().describe('How pressing it is, 0 to 100; the larger, the sooner it needs attention'),
  given: z.number().describe('The figure that raised it'),
  threshold: z
    .number()
    .describe('The threshold that the figure passed; common practice, no source, where it is not that of a caution'),
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
    onDay: day.describe('The day asked for; today in that operation if none was given'),
    ration: z
      .object({ id, name: z.string().describe('Name of the ration'), inUseFrom: day })
      .describe('The ration in use on the day; null if none is')
      .nullable(),
    judgedBy: z
      .enum(['ration-in-use', 'fed-lately', 'nothing'])
      .describe(
        'What the concerns rest on: the ration in use; where none is, the feedings of the last days, if the last ' +
          'is at most 28 days old; or nothing. Cautions of what was fed lately are told beside a ration in use too',
      ),
    lastFedOn: day
      .describe('Day of the last feeding on record; null if there is none. Longer ago than 28 days is a concern')
      .nullable(),
    rank: z
      .number()
      .int()
      .describe('What the list is sorted by: the most pressing concern first, then the number of concerns'),
    concerns: z
      .array(concern)
      .describe(
        'The most pressing first; empty where all is well. Every caution of the judge is one of them, but those that ' +
          'are only good to know',
      ),
    lines: z
      .array(nutrientLineOut)
      .describe('Supply against need of what it is judged by, per head per day; empty where it cannot be judged'),
    expectedDailyGain: massOut
      .describe('Gain that the ration allows; null for mature cows, and where it cannot be worked out')
      .nullable(),
    targetDailyGain: massOut.describe('Target gain, per head per day; null if none was set').nullable(),
    measuredGain: z
      .object({
        dailyGain: massOut.describe(
          'Mean weight at the newest weighing less that at the earliest comparable one, per day',
        ),
        from: day.describe('Day of the earlier weighing'),
        until: day.describe('Day of the newest'),
        days: z.number().int().describe('Days between the two weighings'),
        flags: z.array(
          z.object({
            code: z.string().describe('Code that stays the same between releases'),
            message: z.string().describe('Why the figure should be read with care'),
            value: z.number().describe('The figure that raised it'),
            limit: z.number().describe('The limit it passed'),
            source: z.string().describe('Where the limit comes from'),
          }),
        ),
      })
      .describe('What the weighings of the last 90 days show; null where no two of them can be compared')
      .nullable(),
    notMeasuredBecause: z.string().describe('Why no gain was measured; null where one was').nullable(),
    conditionDirection: z
      .enum(['gain', 'loss', 'steady'])
      .describe('Cows: which way body condition is going; null where it is not known')
      .nullable(),
    hayLastsDays: z
      .number()
      .describe(
        'Days until the first hay or other forage of the ration is empty if all herds go on as they do; null where ' +
          'none is known to run out',
      )
      .nullable(),
    rationsProposed: z
      .number()
      .int()
      .describe("Number of rations proposed for this herd that wait for the ranch's answer"),
    units: unitSystem.describe("Units of this line: those asked for, else the operation's own"),
  })
  .meta({ id: 'PortfolioHerd', description: 'A herd of a client operation, and what needs attention first' });

export const portfolioQuery = z.strictObject({
  ...pageQuery,
  units: unitsQuery.units.describe("Units of every line; each operation's own if left out"),
  on: day.optional().describe('Day to judge on; today in each operation if left out'),
  edition: judgingQuery.edition,
  coldMethod: judgingQuery.coldMethod,
  ...weatherQuery,
  hayMustLastDays: wholeNumber(1, 366)
    .prefault(60)
    .describe('Days that the hay of a ration has to last; with less, a concern is raised'),
  show: z.enum(['all', 'concerns']).default('all').describe('concerns: only herds with at least one; all: every herd'),
});
export const portfolioAnswer = pageAnswer(herd);
export type PortfolioAnswer = z.output<typeof portfolioAnswer>;

export const portfolioOfHerds = endpoint({
  method: 'GET',
  path: '/v1/portfolio/herds',
  operationId: 'listPortfolioHerds',
  tag: 'Portfolio',
  access: 'signed-in',
  summary: 'Every herd of every operation you consult for, the most pressing first',
  description:
    'Herds whose ration misses a need or brings too much, whose gain is off target as predicted or as weighed, ' +
    "whose hay runs short, whose tests are missing or old. Covers all operations in which you may do the desk's " +
    'work at this moment; an engagement that ended shows nothing. Herds without cattle are left out. Each is ' +
    'judged as its ration evaluation judges it, with the weather and the water of the day. No money.',
  query: portfolioQuery,
  answer: portfolioAnswer,
  paged: true,
  inThread: 'many-herds',
});
