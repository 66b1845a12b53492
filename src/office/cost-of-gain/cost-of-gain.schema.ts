import { z } from 'zod';
import { DEFAULT_WEIGHING_WINDOW_DAYS } from '../../core/gain/cost-of-gain.js';
import { decimal } from '../../core/units/decimal.js';
import { calendarDay, figure, text } from '../../platform/http/columns.js';
import { endpoint, type Table } from '../../platform/http/endpoint.js';
import { day, id, operationParams, wholeNumber } from '../../platform/wire/common.schema.js';
import { massOut, moneyOut, pricePerMassOut, unitsQuery } from '../../platform/wire/quantity.schema.js';
import { correctionOut, frozenHead, NOT_IN_OLDER, period } from '../report.schema.js';

const weighing = z.object({
  day,
  head: z.number().int().describe('Number of head that it represents'),
  meanWeight: massOut,
  daysFromAsked: z.number().int().describe('Days between this weighing and the day asked for'),
});

const deadsIn = z
  .object({
    weightOfDead: massOut.describe('Weight of cattle that died between the weighings, as entered'),
    totalGain: massOut.describe('Total gain less the weight of the dead, which is no beef'),
    feedCostOfGain: pricePerMassOut.nullable(),
    totalCostOfGain: pricePerMassOut.describe('Null where the dead outweigh what the others gained').nullable(),
    totalCostOfGainWithLateCosts: pricePerMassOut.nullable(),
  })
  .meta({
    id: 'CostOfGainDeadsIn',
    description: 'The same costs over the gain without the weight of the dead (deads in); equal where none died',
  });

const figures = z
  .object({
    opening: weighing,
    closing: weighing,
    headDays: z.number().int().describe('Head-days between the two weighings'),
    totalGain: massOut.describe(
      'Total gain: closing + out − in − opening weight; of the dead, what they had gained by then (deads out)',
    ),
    dailyGain: massOut.describe('Gain per head per day'),
    weightIn: massOut,
    weightOut: massOut.describe('Weight of all that went out, of those that died too'),
    feedCost: moneyOut,
    yardageCost: moneyOut,
    totalCost: moneyOut,
    lateCosts: moneyOut
      .optional()
      .describe(
        "This herd's part of bills that came after its hay was eaten, by who ate of the lot; not in the total; " +
          NOT_IN_OLDER,
      ),
    totalWithLateCosts: moneyOut.optional().describe(`Total cost with late costs; ${NOT_IN_OLDER}`),
    feedCostOfGain: pricePerMassOut,
    totalCostOfGain: pricePerMassOut,
    totalCostOfGainWithLateCosts: pricePerMassOut.optional().describe(`Of both costs; ${NOT_IN_OLDER}`),
    deadsIn: deadsIn.optional().describe(`The same without the weight of the dead; ${NOT_IN_OLDER}`),
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
          headChangeId: id
            .nullable()
            .optional()
            .describe(`The head change that lacks something, if it is about one; ${NOT_IN_OLDER}`),
          message: z.string().describe('Why no figure is given, and what to do where an entry can mend it'),
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
    correctionsOfEarlier: z
      .array(correctionOut)
      .optional()
      .describe(`Records of before the opening weighing that were reversed after it; in no figure; ${NOT_IN_OLDER}`),
  })
  .meta({ id: 'CostOfGainRow', description: 'Cost of gain of one herd, or why there is none' });

/** To the cent; every amount of a report is in its one currency. */
function sumOfMoney(amounts: readonly string[]): string {
  return amounts.reduce((sum, one) => sum.plus(one), decimal(0)).toFixed(2);
}

export const costOfGainReport = z
  .object({
    ...frozenHead,
    from: period.from,
    until: period.until,
    weighingWindowDays: z.number().int().describe('How many days a weighing may be from the day asked for'),
    herds: z.array(row),
  })
  .meta({ id: 'CostOfGain', description: 'Cost of gain of each herd over a span of days' });

export function costOfGainTable(answer: z.output<typeof costOfGainReport>): Table {
  const small = answer.units === 'us' ? 'lb' : 'kg';
  const columns = [
    text('herd'),
    text('herd_id'),
    calendarDay('opening_day'),
    calendarDay('closing_day'),
    figure('head_days'),
    figure(`total_gain_${small}`),
    figure(`daily_gain_${small}`),
    figure(`feed_cost_${answer.currency}`),
    figure(`yardage_cost_${answer.currency}`),
    figure(`total_cost_${answer.currency}`),
    figure(`feed_cost_of_gain_${answer.currency}_per_${small}`),
    figure(`total_cost_of_gain_${answer.currency}_per_${small}`),
    figure(`late_costs_${answer.currency}`),
    figure(`total_cost_of_gain_with_late_costs_${answer.currency}_per_${small}`),
    figure(`weight_of_dead_${small}`),
    figure(`total_cost_of_gain_deads_in_${answer.currency}_per_${small}`),
    figure(`corrections_of_earlier_${answer.currency}`),
    text('refused_because'),
  ];
  return {
    columns,
    rows: answer.herds.map(({ herd, herdId, figures: found, refusedBecause, correctionsOfEarlier }) => [
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
      found?.lateCosts?.amount ?? null,
      found?.totalCostOfGainWithLateCosts?.amount ?? null,
      found?.deadsIn?.weightOfDead.value ?? null,
      found?.deadsIn?.totalCostOfGain?.amount ?? null,
      correctionsOfEarlier === undefined ? null : sumOfMoney(correctionsOfEarlier.map(({ amount }) => amount.amount)),
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
  table: costOfGainTable,
});
