import { z } from 'zod';
import { INTEREST_DAY_BASES, INTEREST_ON_COSTS } from '../../core/closeout/interest.js';
import { CATTLE_MASS_UNITS, CATTLE_PRICE_UNITS } from '../../core/gain/cattle-price.js';
import { DEFAULT_WEIGHING_WINDOW_DAYS } from '../../core/gain/cost-of-gain.js';
import { DECIMAL_TEXT } from '../../core/units/decimal.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, operationParams, wholeNumber } from '../../platform/wire/common.schema.js';
import {
  amountIn,
  decimalIn,
  decimalOut,
  massOut,
  moneyOut,
  pricePerMassOut,
  unitsQuery,
} from '../../platform/wire/quantity.schema.js';
import { correctionOut, frozenHead, period } from '../report.schema.js';
import { closeoutTable } from './closeout.table.js';

const CLOSEOUT_SIDES = ['cattle-in', 'cattle-out', 'cost'] as const;
const ENTRY_KINDS = ['head-change', 'feeding', 'herd-cost', 'cost-variance', 'stated-value'] as const;

const entry = z
  .object({
    kind: z.enum(ENTRY_KINDS).describe('What sort of record it is; stated-value: a value given in the request'),
    id: id.nullable().describe('Id of the record; null for a stated value'),
    on: day,
    head: z.number().int().nullable().describe('Number of head; null where it is not about cattle'),
    mass: massOut.nullable().describe('Weight of these cattle, or of the feed; null where none was recorded'),
    amount: moneyOut.nullable().describe('Null where no price was entered'),
    words: z.string().describe('What it was, in a few words'),
    href: z.string().nullable().describe('Where the record can be read; null for a stated value'),
  })
  .meta({ id: 'CloseoutEntry', description: 'A record that a line of a closeout is made of' });

const line = z
  .object({
    line: z.string().describe('Code of the line; it stays the same between releases'),
    label: z.string().describe('The line as a report prints it'),
    side: z.enum(CLOSEOUT_SIDES).describe('Money laid out for cattle, received for them, or the cost of their keep'),
    amount: moneyOut.nullable().describe('Null where an entry of it has no price'),
    perHeadIn: moneyOut
      .nullable()
      .describe('Over all head that were there at first or came; null where there are none'),
    href: z.string().nullable().describe('The report or the list that tells more of this line; null if there is none'),
    entries: z.array(entry).describe('The records that it is made of; they add up to the amount'),
  })
  .meta({ id: 'CloseoutLine', description: 'One line of a closeout with the records that it is made of' });

const gainCost = z
  .object({
    gain: massOut.describe('Weight out and standing, less weight in'),
    feed: pricePerMassOut.describe('Feed alone over the gain'),
    feedAndYardage: pricePerMassOut.describe('Feed and yardage over the gain, as the cost-of-gain report has it'),
    all: pricePerMassOut.describe('All costs but the cattle over the gain: other costs, late bills and interest too'),
  })
  .meta({ id: 'CloseoutGainCost', description: 'A gain and what a unit of it cost' });
const gain = z
  .object({
    figures: z
      .object({
        deadsOut: gainCost.describe('The weight of the dead counts as gained up to their death'),
        deadsIn: gainCost.nullable().describe('It does not; null where they outweigh what the others gained'),
        dailyGain: massOut.describe('Gain per head per day, deads out'),
        weightOfDead: massOut,
      })
      .nullable(),
    refusedBecause: z.array(
      z.object({
        code: z.string().describe('Code that stays the same between releases'),
        headChangeId: id.nullable().describe('The head change that lacks something, if it is about one'),
        message: z.string().describe('Why no figure is given, and what to do where an entry can mend it'),
      }),
    ),
  })
  .meta({ id: 'CloseoutGain', description: 'Gain of a closeout and its cost, or why there is none' });

const cattlePrice = z
  .object({
    amount: decimalOut,
    currency: moneyOut.shape.currency,
    per: z.enum(CATTLE_MASS_UNITS).describe('A hundredweight (cwt) is 100 lb'),
  })
  .meta({ id: 'CattlePricePerMass', description: 'Money per hundredweight or kilogram of cattle' });
const profit = z
  .object({
    total: moneyOut.describe('Below zero for a loss'),
    perHeadIn: moneyOut.nullable().describe('Over all head that were there at first or came'),
    perHeadOut: moneyOut.nullable().describe('Over those that left alive and those that stand: the dead are carried'),
  })
  .meta({ id: 'CloseoutProfit', description: 'What was received and stands, less what was laid out' });

export const closeoutReport = z
  .object({
    ...frozenHead,
    from: period.from,
    until: period.until,
    herdId: id,
    herd: z.string().describe('Name of the herd'),
    costingMethod: z.string().describe('How hay that left was valued'),
    head: z.object({
      opening: z.number().int().describe('Head before the first day'),
      cameIn: z.number().int().describe('Head that came'),
      died: z.number().int().describe('Head that died'),
      wentOut: z.number().int().describe('Head that left alive'),
      closing: z.number().int().describe('Head after the last day'),
      headDays: z.number().int().describe('Head-days: a head that stood for a day counts one'),
      deathLossPercent: decimalOut.nullable().describe('The dead over all that were there at first or came'),
    }),
    lines: z.array(line),
    totals: z.object({
      cattleIn: moneyOut.nullable().describe('Null where a price is missing'),
      cattleOut: moneyOut.nullable().describe('Null where a price is missing'),
      feed: moneyOut.describe('Hay and other feed at cost, as season cost has it'),
      costs: moneyOut.describe('All costs but the cattle'),
    }),
    hay: z.object({
      fed: massOut,
      atCost: moneyOut,
      atMarket: moneyOut
        .nullable()
        .describe(
          'At the farm price: market price less the cost of selling it (26 CFR 1.471-6(d)); null without prices',
        ),
    }),
    interest: z.object({
      terms: z.string().describe('The terms in words'),
      days: z.number().int().describe('Days between the first cattle and the last'),
      onCattle: moneyOut,
      onCosts: moneyOut,
    }),
    gain: gain.describe('With the weights as they were entered'),
    gainAtSameFill: gain.describe('With all weights at the same fill; `sameFill` says how'),
    sameFill: z.string().describe('How weights in and out were brought to the same fill'),
    breakEven: z
      .object({
        saleWeight: massOut.describe('Weight that is paid for, or stands at the end'),
        deadsIn: cattlePrice.describe('Price at which nothing is lost: the survivors carry the dead'),
        deadsOut: cattlePrice
          .nullable()
          .describe('As if the dead had brought the same price for what they weighed; null where one has no weight'),
      })
      .nullable()
      .describe('Null where a price or a weight is missing'),
    profit: profit.nullable().describe('Null where a price is missing'),
    profitWithHayAtMarket: profit.nullable().describe('Null where a price is missing, of cattle or of hay'),
    correctionsOfEarlier: z
      .array(correctionOut)
      .describe('Records of before these days that were reversed in them; in no figure'),
    correctedOfEarlier: z
      .object({
        otherCosts: moneyOut.describe('Below zero where a cost is taken back'),
        cattle: moneyOut.describe('Below zero where cattle that had cost money are, above where they had brought some'),
      })
      .describe('Money of such records besides feed and yardage; in no figure'),
  })
  .meta({ id: 'HerdCloseout', description: 'What a herd cost and brought over some days' });
export type CloseoutAnswer = z.output<typeof closeoutReport>;

const percent = (most: number) =>
  decimalIn.refine(
    (value) => !DECIMAL_TEXT.test(value) || (Number(value) >= 0 && Number(value) < most),
    `must be 0 to below ${most}`,
  );
const value = amountIn.refine((text) => !text.startsWith('-'), 'must be 0 or more');
const per = z.enum(CATTLE_PRICE_UNITS);

export const closeoutQuery = z.strictObject({
  from: day
    .optional()
    .describe('First day, included; left out, that of the cattle of the herd, or of a bill before its first lot'),
  until: day
    .optional()
    .describe('Last day, included; left out, the day on which the last left or the last bill after it, else today'),
  ...unitsQuery,
  windowDays: wholeNumber(0, 30)
    .prefault(DEFAULT_WEIGHING_WINDOW_DAYS)
    .describe('How many days a weighing may be from the first or the last day, for cattle that stand on it'),
  openingValue: value.optional().describe('What the cattle that stood there before the first day were worth'),
  openingValuePer: per.default('head').describe('What the opening value is for; lot: all of them'),
  closingValue: value.optional().describe('What the cattle that stand there after the last day are worth'),
  closingValuePer: per.default('head').describe('What the closing value is for; lot: all of them'),
  hayMarketPrices: z
    .string()
    .max(500)
    .regex(/^(\d+(\.\d+)?|[a-z-]+:\d+(\.\d+)?(,[a-z-]+:\d+(\.\d+)?)*)$/, 'must be as 165 or meadow:165,alfalfa:240')
    .optional()
    .describe('Market price of hay per short ton (metric ton in metric units): one for all, or one for each kind'),
  hayDispositionCost: value
    .optional()
    .describe('What selling that hay would cost, for the same mass; none if left out'),
  interestRatePercent: percent(100).optional().describe('Yearly rate, simple; no interest if left out'),
  interestDayBasis: z
    .enum(INTEREST_DAY_BASES.map(String) as ['365', '360'])
    .default('365')
    .describe('Days of the year that the rate is divided by'),
  interestOnCattle: z
    .enum(['yes', 'no'])
    .default('yes')
    .describe('Whether what was laid out for cattle bears interest'),
  interestOnCosts: z
    .enum(INTEREST_ON_COSTS)
    .default('half-time')
    .describe('half-time: feed and other costs bear it for half of the days; from-their-day: each from its own day'),
  shrinkInPercent: percent(20).optional().describe('Taken off weights in, to bring them to the same fill'),
  shrinkOutPercent: percent(20)
    .optional()
    .describe('Taken off weights out; with neither given, the weights that were paid for are compared'),
});

export const getHerdCloseout = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/herds/:herdId/closeout',
  operationId: 'getHerdCloseout',
  inThread: 'long-ledger',
  tag: 'Reports',
  access: 'prices',
  summary: 'Herd closeout',
  description:
    'Cattle in and out at money, hay at cost and at market, other feed, yardage, other costs, late bills and ' +
    'interest; cost of gain with the dead in and out, as weighed and at the same fill; breakeven price and profit. ' +
    'Every line names the records that it is made of. Over exactly a closed period, and at no stated terms, the ' +
    'closeout that was stored at closing; otherwise from the books as they are now.',
  params: operationParams.extend({ herdId: id }),
  query: closeoutQuery,
  answer: closeoutReport,
  table: closeoutTable,
});
