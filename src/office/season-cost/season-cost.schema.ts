import { z } from 'zod';
import { SEASON_GROUPS } from '../../core/season/season-cost.js';
import { figure, text } from '../../platform/http/columns.js';
import { endpoint, type Table } from '../../platform/http/endpoint.js';
import { operationParams } from '../../platform/wire/common.schema.js';
import { decimalOut, massOut, moneyOut, pricePerMassOut, unitsQuery } from '../../platform/wire/quantity.schema.js';
import { correctionOut, frozenHead, NOT_IN_OLDER, period } from '../report.schema.js';

const row = z
  .object({
    key: z
      .string()
      .describe('Id of the herd or ranch, kind of feed (no-kind for yardage, which is of none), month, or operation'),
    label: z.string().describe('Name of the row as a report prints it'),
    fed: massOut.describe('Hay fed, without other feed'),
    eaten: massOut
      .describe(
        'Fed less refused and wasted; a row where neither was measured counts as eaten whole. Null where none was ' +
          'measured at all, and in rows of kinds, as losses are of whole feedings',
      )
      .nullable(),
    hayCost: moneyOut,
    otherFed: massOut.describe('Feed other than hay'),
    otherFeedCost: moneyOut,
    yardageCost: moneyOut
      .describe('Cost of yardage; null in rows of kinds of feed: by kind, yardage has a row of its own')
      .nullable(),
    totalCost: moneyOut,
    lateCosts: moneyOut
      .optional()
      .describe(
        "The herds' part of bills of these days (or receipts of these days that were reversed) for hay that they had " +
          `eaten before; not in the total; ${NOT_IN_OLDER}`,
      ),
    totalWithLateCosts: moneyOut.optional().describe(`Total cost with late costs; ${NOT_IN_OLDER}`),
    corrections: moneyOut
      .optional()
      .describe(
        'What reversals of these days, and what was posted late in place of what they took back, change of the ' +
          `cost of earlier ones; in no total; ${NOT_IN_OLDER}`,
      ),
    headDays: z
      .number()
      .int()
      .describe('Head-days: a head that stood for a day counts one; null where it does not apply')
      .nullable(),
    meanHead: decimalOut.describe('Head-days over the days of the period; null where it does not apply').nullable(),
    perHeadDay: moneyOut.nullable(),
    perHead: moneyOut.describe('Cost over the mean head; null where it does not apply').nullable(),
    hayPerMassFed: pricePerMassOut.nullable(),
    hayPerMassEaten: pricePerMassOut.nullable(),
  })
  .meta({ id: 'SeasonCostRow', description: 'Cost of one herd, ranch, kind or month' });
type Row = z.output<typeof row>;

export const seasonCostReport = z
  .object({
    ...frozenHead,
    from: period.from,
    until: period.until,
    by: z.enum(SEASON_GROUPS).describe('What the rows are'),
    costingMethod: z.string().describe('How hay that left was valued'),
    rows: z.array(row),
    total: row,
    correctionsOfEarlier: z
      .array(correctionOut)
      .optional()
      .describe(`Records of days before these that were reversed in them; empty if none; ${NOT_IN_OLDER}`),
    shareOfFeedingsWithLossMeasured: z
      .number()
      .describe('Share of the feedings whose loss was measured, 0 to 1')
      .nullable(),
  })
  .meta({ id: 'SeasonCost', description: 'What feeding the herds cost over a span of days' });

export function seasonCostTable(answer: z.output<typeof seasonCostReport>): Table {
  const mass = answer.total.fed.unit;
  const columns = [
    text(answer.by),
    text('key'),
    figure(`fed_${mass}`),
    figure(`eaten_${mass}`),
    figure(`other_fed_${mass}`),
    figure(`hay_cost_${answer.currency}`),
    figure(`other_feed_cost_${answer.currency}`),
    figure(`yardage_cost_${answer.currency}`),
    figure(`total_cost_${answer.currency}`),
    figure(`late_costs_${answer.currency}`),
    figure(`total_with_late_costs_${answer.currency}`),
    figure(`corrections_of_earlier_${answer.currency}`),
    figure('head_days'),
    figure('mean_head'),
    figure(`per_head_day_${answer.currency}`),
    figure(`per_head_${answer.currency}`),
    figure(`hay_${answer.currency}_per_${mass}_fed`),
    figure(`hay_${answer.currency}_per_${mass}_eaten`),
  ];
  const cells = (one: Row): (string | null)[] => [
    one.label,
    one.key,
    one.fed.value,
    one.eaten?.value ?? null,
    one.otherFed.value,
    one.hayCost.amount,
    one.otherFeedCost.amount,
    one.yardageCost?.amount ?? null,
    one.totalCost.amount,
    one.lateCosts?.amount ?? null,
    one.totalWithLateCosts?.amount ?? null,
    one.corrections?.amount ?? null,
    one.headDays === null ? null : String(one.headDays),
    one.meanHead,
    one.perHeadDay?.amount ?? null,
    one.perHead?.amount ?? null,
    one.hayPerMassFed?.amount ?? null,
    one.hayPerMassEaten?.amount ?? null,
  ];
  return { columns, rows: [...answer.rows.map(cells), cells(answer.total)] };
}

export const getSeasonCost = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/reports/season-cost',
  operationId: 'getSeasonCost',
  inThread: 'long-ledger',
  tag: 'Reports',
  access: 'prices',
  summary: 'Season cost',
  description:
    'Hay and other feed at their booked cost and yardage by head-day, by operation, herd, ranch, kind of feed ' +
    'or month; over exactly a closed period, the report that was stored at closing. As JSON, or as CSV with ' +
    'Accept: text/csv or ?format=csv.',
  params: operationParams,
  query: z.strictObject({
    ...period,
    ...unitsQuery,
    by: z.enum(SEASON_GROUPS).default('herd').describe('What the rows are'),
  }),
  answer: seasonCostReport,
  table: seasonCostTable,
});
