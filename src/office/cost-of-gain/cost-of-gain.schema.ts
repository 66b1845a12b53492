import { z } from 'zod';
import { DEFAULT_WEIGHING_WINDOW_DAYS } from '../../core/gain/cost-of-gain.js';
import { endpoint, type Table } from '../../platform/http/endpoint.js';
import { day, id, operationParams, wholeNumber } from '../../platform/wire/common.schema.js';
import { massOut, moneyOut, pricePerMassOut, unitsQuery } from '../../platform/wire/quantity.schema.js';
import { frozenHead, period } from '../report.schema.js';

const weighing = z.object({
  day,
  head: z.number().int().describe('Number of head that it represents'),
  meanWeight: massOut,
  daysFromAsked: z.number().int().describe('Days between this weighing and the day asked for'),
});

const figures = z
  .object({
    opening: weighing,
    closing: weighing,
    headDays: z.number().int().describe('Head-days between the two weighings'),
    totalGain: massOut.describe('Total gain: closing + out − in − opening weight'),
    dailyGain: massOut.describe('Gain per head per day'),
    weightIn: massOut,
    weightOut: massOut,
    feedCost: moneyOut,
    yardageCost: moneyOut,
    totalCost: moneyOut,
    feedCostOfGain: pricePerMassOut,
    totalCostOfGain: pricePerMassOut,
    hayFed: massOut,
    hayPerGain: z
      .number()
      .describe('Hay as fed per unit of gain, by weight; null where no hay was recorded')
      .nullable(),
  })
  .meta({ id: 'CostOfGainFigures', description: 'Gain between two weighings and what it cost' });

const row = z
  .object({
    herdId: id,
    herd: z.string().describe('Name of the herd'),
    figures: figures.nullable(),
    refusedBecause: z
      .array(
        z.object({
          code: z.string().describe('Code that stays the same between releases'),
          message: z.string().describe('Why no figure is given'),
        }),
      )
      .describe('Why no figure is given; empty where one is'),
    notes: z
      .array(
        z.object({
          code: z.string().describe('Code that stays the same between releases'),
          message: z.string().describe('What a reader should know'),
        }),
      )
      .describe('What is doubtful about the figures; empty if nothing'),
  })
  .meta({ id: 'CostOfGainRow', description: 'Cost of gain of one herd, or why there is none' });

export const costOfGainReport = z
  .object({
    ...frozenHead,
    from: period.from,
    until: period.until,
    weighingWindowDays: z.number().int().describe('How many days a weighing may be from the day asked for'),
    herds: z.array(row),
  })
  .meta({ id: 'CostOfGain', description: 'Cost of gain of each herd over a span of days' });

function table(answer: z.output<typeof costOfGainReport>): Table {
  const small = answer.units === 'us' ? 'lb' : 'kg';
  const columns = [
    'herd',
    'herd_id',
    'opening_day',
    'closing_day',
    'head_days',
    `total_gain_${small}`,
    `daily_gain_${small}`,
    `feed_cost_${answer.currency}`,
    `yardage_cost_${answer.currency}`,
    `total_cost_${answer.currency}`,
    `feed_cost_of_gain_${answer.currency}_per_${small}`,
    `total_cost_of_gain_${answer.currency}_per_${small}`,
    'refused_because',
  ];
  return {
    columns,
    rows: answer.herds.map(({ herd, herdId, figures: found, refusedBecause }) => [
      herd,
      herdId,
      found?.opening.day ?? null,
      found?.closing.day ?? null,
      found === null ? null : String(found.headDays),
      found?.totalGain.value ?? null,
      found?.dailyGain.value ?? null,
      found?.feedCost.amount ?? null,
      found?.yardageCost.amount ?? null,
      found?.totalCost.amount ?? null,
      found?.feedCostOfGain.amount ?? null,
      found?.totalCostOfGain.amount ?? null,
      refusedBecause.map((one) => one.message).join(' ') || null,
    ]),
  };
}

export const getCostOfGain = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/reports/cost-of-gain',
  operationId: 'getCostOfGain',
  inThread: 'long-ledger',
  tag: 'Reports',
  access: 'prices',
  summary: 'Cost of gain',
  description:
    'Feed and total cost over the weight gained between the weighings nearest to the two days, with cattle that ' +
    'came and went. Where the weights cannot support a figure, none is given, and the reasons are.',
  params: operationParams,
  query: z.strictObject({
    ...period,
    ...unitsQuery,
    herdId: id.optional().describe('Only this herd; all herds if left out'),
    windowDays: wholeNumber(0, 30)
      .prefault(DEFAULT_WEIGHING_WINDOW_DAYS)
      .describe('How many days a weighing may be from the day asked for'),
  }),
  answer: costOfGainReport,
  table,
});
