import { z } from 'zod';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, operationParams } from '../../platform/wire/common.schema.js';
import { massOut, unitSystem } from '../../platform/wire/quantity.schema.js';
import { weatherOut } from '../facts/weather.schema.js';
import { judgementShape, judgingQuery, rationJudgement } from '../judge/judgement.schema.js';
import { role } from './ration.schema.js';

const share = z.number().describe('Share of the dry matter, %');

const { on: _on, ...judgingOfADay } = judgingQuery;

export const rationDriftOut = z
  .object({
    herdId: id,
    herd: z.string().describe('Name of the herd'),
    from: day,
    until: day,
    units: unitSystem.describe('Units of this answer'),
    daysFed: z.number().int().describe('Days with a feeding'),
    daysWithoutRation: z.number().int().describe('Of these, days on which no ration was in use; they are not compared'),
    daysNotFed: z.number().int().describe('Days with a ration in use on which no feeding was recorded'),
    planned: massOut.describe('Dry matter planned per head per day, mean of the days compared'),
    fed: massOut.describe('Dry matter fed per head per day, mean of the days compared'),
    difference: massOut.describe('Dry matter fed less planned, per head per day'),
    differencePercent: z
      .number()
      .describe('The difference as % of what was planned; null where nothing was planned')
      .nullable(),
    misplacedSharePercent: z
      .number()
      .describe('Share of the dry matter fed that was other hay than planned, %; null where it is not known')
      .nullable(),
    byLot: z.array(
      z.object({
        hayLotId: id,
        hayLot: z.string().describe('Name of the hay lot'),
        plannedSharePercent: share,
        fedSharePercent: share,
        differencePoints: z.number().describe('Fed less planned, percentage points'),
      }),
    ),
    byRole: z.array(
      z.object({
        role,
        plannedSharePercent: share,
        fedSharePercent: share,
        differencePoints: z.number().describe('Fed less planned, percentage points'),
      }),
    ),
    order: z.object({
      feedingsOutOfOrder: z.number().int().describe('Days on which layers were laid in another order than planned'),
      feedingsBlended: z.number().int().describe('Days on which the layers were mixed when they were fed'),
      pairs: z
        .array(
          z.object({
            plannedLower: z.string().describe('Lot planned below'),
            plannedUpper: z.string().describe('Lot planned above'),
            feedings: z.number().int().describe('Number of days on which it was the other way around'),
          }),
        )
        .describe('Lots that were laid the other way around, and how often'),
    }),
    judged: z
      .object({
        weather: weatherOut.nullable(),
        fed: rationJudgement.describe('What was fed in the last week of feeding up to that day'),
        ration: z
          .object({ rationId: id, ration: z.string().describe('Name of the ration'), ...judgementShape })
          .describe('The ration in use on that day; null where none was')
          .nullable(),
      })
      .describe('Both against what the herd needs on the last day'),
    days: z
      .array(
        z.object({
          onDay: day,
          ration: z.string().describe('Name of the ration in use; null if none was').nullable(),
          planned: massOut.describe('Dry matter planned per head; null if no ration was in use').nullable(),
          fed: massOut.describe('Dry matter fed per head'),
          differencePercent: z
            .number()
            .describe('Dry matter per head, fed less planned, % of what was planned; null where it is not known')
            .nullable(),
          misplacedSharePercent: z
            .number()
            .describe('Share of the dry matter fed that was other hay than planned, %; null where it is not known')
            .nullable(),
          outOfOrder: z.boolean().describe('True if layers were laid in another order than planned'),
          blended: z.boolean().describe('True if the layers were mixed when they were fed'),
        }),
      )
      .describe('Day by day, oldest first'),
  })
  .meta({ id: 'RationDrift', description: 'What was fed against what was planned' });

export const rationDriftAt = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/herds/:herdId/ration-drift',
  operationId: 'getRationDrift',
  tag: 'Rations',
  access: 'read',
  inThread: 'always',
  summary: 'How far what was fed departed from the ration in use',
  description:
    'By share of each lot and role, dry matter per head and order of laying, over the days from `from` ' +
    'to `until`, both included. What was fed and what was meant are both judged on the last day, as the ration ' +
    'review and the ration evaluation of that day judge them.',
  params: operationParams.extend({ herdId: id }),
  query: z.strictObject({
    ...judgingOfADay,
    from: day.describe('First day, included'),
    until: day.describe('Last day, included; at most 366 days in all'),
  }),
  answer: rationDriftOut,
});
