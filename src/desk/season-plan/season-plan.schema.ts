import { z } from 'zod';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, operationParams } from '../../platform/wire/common.schema.js';
import { massOut, unitSystem } from '../../platform/wire/quantity.schema.js';
import { weatherQuery } from '../facts/weather.schema.js';
import { judgementShape, judgingQuery } from '../judge/judgement.schema.js';

const month = z
  .string()
  .regex(/^\d{4}-(0[1-9]|1[0-2])$/, 'must be a month as YYYY-MM')
  .describe('Calendar month, YYYY-MM');

const monthOfHerd = z.object({
  month,
  onDay: day.describe('The day that represents the month: its 15th, or today where that is later in it'),
  headDays: z.number().int().describe('Head-days of the month, from the head history carried forward'),
  head: z.number().int().describe('Head on that day'),
  bodyWeight: massOut.describe('Mean full weight on that day, weighed or projected'),
  bodyWeightFrom: z.string().describe('Where that weight comes from'),
  sharePregnant: z.number().describe('Share of the herd that is pregnant, 0 to 1'),
  shareInMilk: z.number().describe('Share of the herd that is in milk, 0 to 1'),
  ration: z
    .object({
      id,
      name: z.string().describe('Name of the ration'),
      carriedForward: z
        .boolean()
        .describe('True where it had ended by then, or is not yet in use, and is assumed to go on'),
    })
    .nullable()
    .describe('Ration that was counted on; null where the herd has had none'),
  needed: z
    .array(z.object({ hayLotId: id, hayLot: z.string().describe('Name of the hay lot'), asFed: massOut }))
    .describe(
      'Hay that the ration takes over the month, as fed, waste included; of the present month, where the plan begins ' +
        'with it, over the days still to be fed: today counts until the herd has been fed',
    ),
  ...judgementShape,
});

export const seasonRationPlan = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/season-ration-plan',
  operationId: 'getSeasonRationPlan',
  inThread: 'always',
  tag: 'Rations',
  access: 'read',
  summary: 'Month by month: what each herd needs, what its ration gives, and what hay that takes',
  description:
    'Each month is judged on its 15th, the present one today if that is later, through calving into milk, by the ' +
    'judge of the ration evaluation; the hay is that of the rations in use. A ration that has ended by then is ' +
    'carried forward, and that is said. A herd that cannot be judged in a month keeps its hay and its cautions, ' +
    'with the reasons.',
  params: operationParams,
  query: z.strictObject({
    units: judgingQuery.units,
    edition: judgingQuery.edition,
    coldMethod: judgingQuery.coldMethod,
    ...weatherQuery,
    weather: weatherQuery.weather
      .unwrap()
      .default('usual')
      .describe(
        'usual: the mean of each month in the years before, or what stands in for it, as a note says; none: as in ' +
          'mild weather; stated: the same in every month; known: where weather was recorded around the 15th',
      ),
    from: month.optional().describe('First month; the present one if left out'),
    until: month.optional().describe('Last month, at most a year on; six months after the first if left out'),
    herdId: id.optional().describe('Only this herd'),
  }),
  answer: z
    .object({
      from: month,
      until: month,
      units: unitSystem.describe('Units of this answer'),
      herds: z.array(
        z.object({ herdId: id, herd: z.string().describe('Name of the herd'), months: z.array(monthOfHerd) }),
      ),
      lots: z
        .array(
          z.object({
            hayLotId: id,
            hayLot: z.string().describe('Name of the hay lot'),
            hayKind: z.string().describe('Kind of the hay'),
            onHand: massOut.describe(
              'On hand when the first month begins; where that is the present month, as it is now',
            ),
            needed: massOut.describe(
              'What all herds take of it over the plan, on days still to be fed where it begins with the present month',
            ),
            short: massOut.describe('What is missing of it; 0 where it lasts'),
            runsOutIn: month.nullable().describe('The month in which it runs out; null where it lasts'),
          }),
        )
        .describe('Every lot that a ration of the plan names'),
      kinds: z
        .array(z.object({ hayKind: z.string().describe('Kind of the hay'), needed: massOut, onHand: massOut }))
        .describe('The same by kind of hay; on hand counts every lot of the kind'),
      flags: z
        .array(
          z.object({
            code: z.string().describe('Code that stays the same between releases'),
            message: z.string().describe('What is assumed or missing, and for which herds'),
          }),
        )
        .describe('What the plan had to assume, or could not do'),
    })
    .meta({ id: 'SeasonRationPlan', description: 'Needs, rations and hay of the herds, month by month' }),
});
