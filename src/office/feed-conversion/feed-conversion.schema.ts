import { z } from 'zod';
import { DEFAULT_WEIGHING_WINDOW_DAYS } from '../../core/gain/cost-of-gain.js';
import { calendarDay, figure, text } from '../../platform/http/columns.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, operationParams, wholeNumber } from '../../platform/wire/common.schema.js';
import { decimalOut, massOut, unitsQuery } from '../../platform/wire/quantity.schema.js';
import { period, reportHead } from '../report.schema.js';

const { currency: _currency, ...head } = reportHead;
const deadsIn = z
  .object({
    weightOfDead: massOut.describe('Weight of cattle that died between the weighings, as entered'),
    totalGain: massOut.describe('Total gain less the weight of the dead, which is no beef'),
    fedPerGain: decimalOut.describe('Null where the dead outweigh what the others gained').nullable(),
    eatenPerGain: decimalOut.nullable(),
  })
  .meta({
    id: 'FeedConversionDeadsIn',
    description: 'The same feed over the gain without the weight of the dead (deads in); equal where none died',
  });
const figures = z
  .object({
    openingOn: day,
    closingOn: day,
    totalGain: massOut,
    fed: massOut.describe('Hay and feed that was fed, as fed'),
    dryMatterFed: massOut,
    dryMatterEaten: massOut.describe('Dry matter eaten; null where no refusals or waste were recorded').nullable(),
    fedPerGain: decimalOut.describe('Dry matter fed per unit of gain'),
    eatenPerGain: decimalOut.describe('Dry matter eaten per unit of gain').nullable(),
    deadsIn,
    shareOfFeedingsWithLossMeasured: z.number().describe('Share of the feedings whose loss was measured, 0 to 1'),
    shareOfDryMatterFromBookValues: z
      .number()
      .describe('Share of the dry matter that rests on book values and not on a test, 0 to 1'),
  })
  .meta({ id: 'FeedConversionFigures', description: 'Feed over gain between two weighings' });
const note = z.object({
  code: z.string().describe('Code that stays the same between releases'),
  message: z.string().describe('What a reader should know'),
});

export const getFeedConversion = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/reports/feed-conversion',
  operationId: 'getFeedConversion',
  inThread: 'long-ledger',
  tag: 'Reports',
  access: 'prices',
  summary: 'Feed conversion',
  description:
    'Dry matter fed, and dry matter eaten, over the weight gained between the weighings nearest to the two ' +
    'days. Where the weights cannot support a figure, none is given, and the reasons are.',
  params: operationParams,
  query: z.strictObject({
    ...period,
    ...unitsQuery,
    herdId: id.optional().describe('Only this herd; all herds if left out'),
    windowDays: wholeNumber(0, 30)
      .prefault(DEFAULT_WEIGHING_WINDOW_DAYS)
      .describe('How many days a weighing may be from the day asked for'),
  }),
  answer: z
    .object({
      ...head,
      from: period.from,
      until: period.until,
      weighingWindowDays: z.number().int().describe('How many days a weighing may be from the day asked for'),
      herds: z.array(
        z.object({
          herdId: id,
          herd: z.string().describe('Name of the herd'),
          figures: figures.nullable(),
          refusedBecause: z
            .array(
              note.extend({
                headChangeId: id.describe('The head change that lacks something, if it is about one').nullable(),
              }),
            )
            .describe('Why no figure is given; empty where one is'),
          notes: z.array(note).describe('What is doubtful about the figures; empty if nothing'),
        }),
      ),
    })
    .meta({ id: 'FeedConversion', description: 'Feed conversion of each herd over a span of days' }),
  table: (answer) => {
    const [small, large] = answer.units === 'us' ? ['lb', 'ton'] : ['kg', 't'];
    return {
      columns: [
        text('herd'),
        text('herd_id'),
        calendarDay('opening_day'),
        calendarDay('closing_day'),
        figure(`total_gain_${small}`),
        figure(`fed_${large}`),
        figure(`dry_matter_fed_${large}`),
        figure(`dry_matter_eaten_${large}`),
        figure('dry_matter_fed_per_gain'),
        figure('dry_matter_eaten_per_gain'),
        figure('dry_matter_fed_per_gain_deads_in'),
        figure('dry_matter_eaten_per_gain_deads_in'),
        text('refused_because'),
      ],
      rows: answer.herds.map(({ herd, herdId, figures: found, refusedBecause }) => [
        herd,
        herdId,
        found?.openingOn ?? null,
        found?.closingOn ?? null,
        found?.totalGain.value ?? null,
        found?.fed.value ?? null,
        found?.dryMatterFed.value ?? null,
        found?.dryMatterEaten?.value ?? null,
        found?.fedPerGain ?? null,
        found?.eatenPerGain ?? null,
        found?.deadsIn.fedPerGain ?? null,
        found?.deadsIn.eatenPerGain ?? null,
        refusedBecause.map((one) => one.message).join(' ') || null,
      ]),
    };
  },
});
