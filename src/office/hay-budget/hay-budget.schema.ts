import { z } from 'zod';
import { WASTE_CONVENTIONS, type WasteConvention } from '../../core/budget/waste-conventions.data.js';
import { REQUIREMENT_EDITIONS } from '../../core/requirements/requirement-set.js';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { calendarDay, figure, text } from '../../platform/http/columns.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, instantOut, line, name, operationParams } from '../../platform/wire/common.schema.js';
import {
  amountIn,
  decimalIn,
  decimalOut,
  massIn,
  massOut,
  massUnit,
  measureOut,
  moneyOut,
  pricePerMassOut,
  unitsQuery,
} from '../../platform/wire/quantity.schema.js';
import { hayKind, storageMethod } from '../../records/hay/lots/hay-lot.schema.js';
import { testTakenFromOut } from '../../records/hay/lab-tests/lab-test.schema.js';
import { dailyAmountOut } from '../../desk/judge/judgement.schema.js';
import { period, reportHead } from '../report.schema.js';
import { temperature } from '../../records/yard/weather-days/weather-day.schema.js';
import { FEEDING_METHODS } from '../../platform/wire/words.data.js';
import { budgetTable } from './hay-budget.tables.js';

const tag = 'Hay budget';
const between = (low: number, high: number) =>
  decimalIn.refine((value) => Number(value) >= low && Number(value) <= high, `must be ${low} to ${high}`);
const percent = between(0, 95);
const times = between(0, 10);
const conventions = Object.keys(WASTE_CONVENTIONS) as [WasteConvention, ...WasteConvention[]];
const feedingMethod = z
  .enum(FEEDING_METHODS)
  .describe('How the hay is fed; the published waste for that method is used');
const edition = z
  .enum(REQUIREMENT_EDITIONS)
  .default('NRC2000')
  .describe('Published requirement system used to predict intake');

const intake = z
  .discriminatedUnion('basis', [
    z
      .strictObject({ basis: z.literal('equations') })
      .describe('Predicted month by month by the requirement equations for this hay'),
    z
      .strictObject({ basis: z.literal('ration-in-use') })
      .describe(
        'The hay that the ration in use puts out, waste included; if none is in use, the last one is carried ' +
          'forward. Kinds, dry matter and waste come from the ration',
      ),
    z
      .strictObject({
        basis: z.literal('percent-of-body-weight'),
        percent: between(0.5, 5).describe('Dry matter per day, % of body weight'),
        bodyWeight: massIn.optional().describe("Body weight to use; the herd's own if left out"),
      })
      .describe('As a percent of body weight'),
    z
      .strictObject({ basis: z.literal('stated'), dryMatter: massIn.describe('Dry matter per head per day') })
      .describe('As pounds or kilograms of dry matter per head per day'),
  ])
  .describe('How much one head eats');
const waste = z
  .discriminatedUnion('basis', [
    z
      .strictObject({ basis: z.literal('own-feedings') })
      .describe(
        "As measured at this herd's own feedings of the last year, without what was refused because more was laid " +
          'than cattle can hold',
      ),
    z
      .strictObject({ basis: z.literal('method'), method: feedingMethod })
      .describe('The published figure for a feeding method'),
    z
      .strictObject({ basis: z.literal('stated'), percent: percent.describe('Hay wasted, % of what is fed') })
      .describe('As a percent that you give'),
  ])
  .describe(
    'How much is wasted; if left out, as the herd is judged: measured at its own feedings, else as its ration in use ' +
      'states, or else as published for the way it was last fed',
  );

const herdIn = z.strictObject({
  herdId: id,
  head: z
    .array(
      z.strictObject({
        from: day,
        head: z.number().int().min(0).max(100_000).describe('Number of head from that day on'),
      }),
    )
    .min(1)
    .max(60)
    .optional()
    .describe('Planned head count; if left out, the current head count is carried forward'),
  intake: intake.default({ basis: 'equations' }),
  dryMatterPercent: between(5, 100)
    .optional()
    .describe('Dry matter of the hay, %; if left out, that of the lots on hand'),
  waste: waste.optional(),
  kinds: z
    .array(z.strictObject({ hayKind, percent: between(0, 100).describe('Share of what is fed, %') }))
    .min(1)
    .max(20)
    .optional()
    .describe('Kinds of hay it is fed, adding up to 100 %; if left out, in proportion to the hay in the yard'),
});

export const planIn = z.strictObject({
  ...period,
  herds: z
    .array(herdIn)
    .min(1)
    .max(200)
    .optional()
    .describe('The herds to plan for; if left out, every herd that has cattle in the period'),
  edition,
  substituteKinds: z.boolean().default(true).describe('True to feed another kind of hay when one runs out'),
  monthlyTemperatures: z
    .array(
      z.strictObject({
        month: z.number().int().min(1).max(12).describe('Month of the year, 1 to 12'),
        temperature: temperature.describe('Mean temperature of the month'),
      }),
    )
    .max(12)
    .optional()
    .describe(
      'Usual temperature of each month; if left out, as recorded on the ranch in earlier years. Where nothing was ' +
        'recorded, cold adds nothing to intake',
    ),
  wasteConvention: z
    .enum(conventions)
    .default('divisor')
    .describe('divisor: eaten ÷ (1 − waste); multiplier: eaten × (1 + waste)'),
  storageLosses: z
    .array(
      z.strictObject({
        storageMethod,
        percent: percent.describe('Loss over a whole storage season, %'),
        how: line(200).describe('How you know the figure'),
      }),
    )
    .max(5)
    .optional()
    .describe('Your own figures; if left out, your measurements on record, or else published figures'),
  prices: z
    .array(
      z.strictObject({
        hayKind,
        amount: amountIn.refine((value) => !value.startsWith('-'), 'must be 0 or more'),
        per: massUnit,
      }),
    )
    .max(30)
    .optional()
    .describe('Delivered prices of the hay to buy; if left out, the mean of your most recent tickets'),
});
export type PlanIn = z.output<typeof planIn>;

const loss = z
  .object({
    percent: decimalOut.describe('The figure that was used, %'),
    lowPercent: decimalOut.describe('Low end of the published range, %'),
    highPercent: decimalOut.describe('High end of the published range, %'),
    basis: z
      .enum(['published', 'own-measurement', 'stated', 'assumed'])
      .describe('Where the figure comes from; assumed: that of the usual feeding method, because nothing is known'),
    bounds: z
      .enum(['published-figures', 'interval-95', 'none'])
      .describe(
        'What the bounds are: the spread of published figures, a 95 % interval of your own measurements, or none',
      ),
    source: z.string().describe('Source of the figure that was used'),
    others: z
      .array(
        z.object({
          lowPercent: decimalOut,
          highPercent: decimalOut,
          source: z.string().describe('Published source of the figure'),
        }),
      )
      .describe('Other published figures for the same loss'),
  })
  .meta({ id: 'YardBudgetLoss', description: 'A loss with its bounds and source' });

const herdOut = z.object({
  herdId: id,
  herd: z.string().describe('Name of the herd'),
  headOnFirstDay: z.number().int().describe('Head on the first day'),
  headDays: z
    .number()
    .int()
    .describe('Head-days over the period that are still to be fed: today counts until the herd has been fed'),
  headBasis: z.enum(['history-carried-forward', 'stated']).describe('Where the head count comes from'),
  intakeBasis: z.string().describe('What the intake is based on'),
  intakeByMonth: z.array(
    z.object({
      month: z.string().describe('Calendar month, YYYY-MM'),
      dryMatterPerHeadDay: massOut,
      meanTemperature: measureOut('temperature')
        .describe('Mean temperature used for the month; null if none is known')
        .nullable(),
      temperatureFrom: z
        .enum(['stated', 'recorded', 'usual', 'last-week'])
        .describe(
          'stated: in the plan; usual: the mean of the month in the years before; recorded: on `onDay` itself; ' +
            'last-week: the mean of the last recorded week',
        )
        .nullable(),
      onDay: day.describe('The day that represents the month: its 15th, or the day of the budget next to it'),
      head: z.number().int().describe('Head on that day'),
      bodyWeight: massOut.describe('Mean full weight on that day, as weighed or projected'),
      need: z
        .object({
          dryMatterPredicted: massOut.describe(
            'Predicted dry matter per head on that day, as an evaluation has it: no more than the fiber of the hay ' +
              'allows, and before the correction for cows',
          ),
          netEnergyMaintenance: dailyAmountOut.describe(
            'NEm for maintenance with weather and activity, pregnancy and milk',
          ),
        })
        .describe('Need on that day, from the requirements of the herd; null if it cannot be judged')
        .nullable(),
      correction: z
        .object({
          dryMatterBefore: massOut.describe(
            'Predicted dry matter per head per day that was raised: the mean of the weeks of the month, and for cows ' +
              'without what fiber allows, which the cows that the correction comes from ate more than',
          ),
          raisedByPercent: decimalOut.describe('By how much more `dryMatterPerHeadDay` is, %'),
        })
        .describe('How the intake was corrected for cows; null where it was not')
        .nullable(),
      ration: z
        .object({
          id,
          name: z.string().describe('Name of the ration'),
          carriedForward: z
            .boolean()
            .describe('True if the ration has ended by then, or is not in use yet, and is assumed to apply'),
        })
        .describe('Ration the intake comes from; null if it does not come from a ration')
        .nullable(),
    }),
  ),
  dryMatterPercent: decimalOut.describe('Dry matter of the hay as fed, %'),
  dryMatterBasis: z.string().describe('Where the dry matter comes from'),
  restsOnBookValues: z.boolean().describe('True if a lot or kind has no test'),
  waste: loss,
  kinds: z.array(z.object({ hayKind, percent: decimalOut.describe('Share of what is fed, %') })),
  needed: massOut.describe('Hay to put out, as fed'),
});
const notCountedOut = z
  .object({
    herdId: id,
    herd: z.string().describe('Name of the herd'),
    headDays: z.number().int().describe('Head-days over the period that are not counted'),
    because: z.string().describe('What is wrong and what to enter'),
    field: z.string().describe('Field that is missing or wrong'),
  })
  .meta({ id: 'YardBudgetNotCounted', description: 'A herd with cattle in the period that could not be judged' });
const monthRow = z.object({
  month: z.string().describe('Calendar month, YYYY-MM'),
  herdId: id,
  herd: z.string().describe('Name of the herd'),
  headDays: z.number().int().describe('Head-days: one head for one day counts as one'),
  dryMatterEaten: massOut,
  needed: massOut.describe('Hay to put out, as fed, waste included'),
  wasted: massOut,
  byKind: z.array(z.object({ hayKind, needed: massOut })),
});
const kindRow = z.object({
  hayKind,
  onHand: massOut.describe('Hay on hand when the first day begins; where that is today, as it is now'),
  needed: massOut,
  fed: massOut.describe('Part of the need met by hay on hand'),
  short: massOut,
  surplus: massOut.describe('Hay left on the last day, after storage loss'),
  firstShortOn: day.nullable(),
});
const lotRow = z.object({
  hayLotId: id,
  hayLot: z.string().describe('Name of the hay lot'),
  hayKind,
  storageMethod,
  balance: massOut.describe('Hay on hand when the first day begins; where that is today, as it is now'),
  likelyBalance: z
    .object({ low: massOut, high: massOut })
    .nullable()
    .describe(
      '95 % interval of the balance, from the bales that were weighed; null if no bales were weighed or their ' +
        'spread is not known',
    ),
  storageLoss: loss.describe('Loss over a whole storage season'),
  testTakenFrom: testTakenFromOut,
  fed: massOut,
  lost: massOut.describe('Hay lost in storage before it is fed, or by the last day'),
  left: massOut,
  runsOutOn: day.nullable(),
});
const buyRow = z.object({ hayKind, mass: massOut, price: pricePerMassOut.nullable(), cost: moneyOut.nullable() });
const yard = z.object({
  onHand: massOut.describe('Hay on hand when the first day begins; where that is today, as it is now'),
  needed: massOut,
  fed: massOut,
  short: massOut,
  surplus: massOut,
  runsOutOn: day.describe('First day the yard cannot meet the need; null if it always can').nullable(),
  daysShort: z.number().int().describe('Number of days on which hay is short'),
});
const stockRow = z.object({
  on: day,
  onHand: massOut.describe('Hay left at the end of that day, after what is fed and lost by then, as planned'),
  byKind: z.array(z.object({ hayKind, onHand: massOut })),
  likely: z
    .object({ low: massOut, high: massOut })
    .describe('Hay left in the middle of the simulated winters, as many of them as `range.likely.percent` says'),
});
const bound = z.object({
  needed: massOut,
  short: massOut,
  surplus: massOut,
  runsOutOn: day.nullable(),
  costToBuy: moneyOut.nullable(),
});
const range = z
  .object({
    atLowLosses: bound,
    atHighLosses: bound,
    likely: z
      .object({
        percent: z.number().int().describe('How many winters out of 100 should fall within the range'),
        draws: z.number().int().describe('Number of winters simulated'),
        seed: z.string().describe('Seed of the simulation: the same budget gives the same range'),
        runningOutPercent: decimalOut.describe('Percent of the simulated winters in which the hay runs out'),
        runsOutOn: z
          .object({
            earliest: day.describe('Earliest day; null if the hay lasts').nullable(),
            latest: day.describe('Latest day; null if the hay may last').nullable(),
          })
          .describe('Earliest and latest day the yard runs out'),
        short: z.object({ low: massOut, high: massOut }),
        needed: z.object({ low: massOut, high: massOut }),
      })
      .describe(
        'The range over simulated winters in which intake, cold, waste, storage loss and weights each vary within ' +
          'their known spread; head counts are as planned',
      ),
    restsOn: z.array(z.string()).describe('What the bounds come from'),
  })
  .describe(
    'The same budget with every loss at its lower bound and every balance from weighed bales at its upper bound, and ' +
      'the reverse; and the likely range, in which intake and cold vary too',
  );

const VIEWS = ['months', 'kinds', 'lots'] as const;
const viewQuery = {
  ...unitsQuery,
  view: z.enum(VIEWS).default('months').describe('What the table (CSV or workbook) lists'),
};

export const budgetOut = z
  .object({
    ...reportHead,
    from: period.from,
    until: period.until,
    view: z.enum(VIEWS).describe('What the table (CSV or workbook) lists'),
    planId: id.describe('Id of the saved plan; null if it is not saved').nullable(),
    plan: z.string().describe('Name of the saved plan').nullable(),
    herds: z.array(herdOut),
    notCounted: z
      .array(notCountedOut)
      .describe('Herds left out of the totals; they need hay too. A plan that names such a herd is refused'),
    months: z.array(monthRow),
    kinds: z.array(kindRow),
    lots: z.array(lotRow).describe('Lots in the order they are fed'),
    yard,
    stock: z
      .array(stockRow)
      .describe('Hay through the period: every seventh day, the day the yard runs out, and the last day'),
    toBuy: z.array(buyRow),
    costToBuy: moneyOut.nullable(),
    range,
  })
  .meta({
    id: 'YardBudget',
    description: 'Hay needed by herd and month, what the yard can supply, and what must be bought',
  });
export type Budget = z.output<typeof budgetOut>;

/** A budget without a plan of its own. */
export const hayBudgetQuery = z.strictObject({
  ...period,
  ...viewQuery,
  edition,
  intake: z
    .enum(['equations', 'ration-in-use'])
    .default('equations')
    .describe(
      'equations: predicted, with a correction for cows, for which the equation is known to read low; ' +
        'ration-in-use: what the rations in use put out, waste included',
    ),
  intakePercent: between(0.5, 5).optional().describe('Dry matter eaten, % of body weight, in place of `intake`'),
  wastePercent: percent
    .optional()
    .describe('Waste, %; if left out, as measured, as the ration in use states or as published'),
  substituteKinds: z
    .enum(['true', 'false'])
    .default('true')
    .describe('True to feed another kind of hay when one runs out'),
});

export const getHayBudget = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/reports/hay-budget',
  operationId: 'getHayBudget',
  inThread: 'long-ledger',
  tag,
  access: 'read',
  summary: 'Hay budget',
  description:
    'Hay needed by herd and month, from head-days, intake and waste; what the yard can supply after storage loss up ' +
    'to the day of use; the day each lot and the whole yard run out; tons to buy and what they cost. Without a plan: ' +
    'head counts carried forward, intake from the equations, waste as measured, as the ration in use states or as ' +
    'published. Costs are null for ' +
    'readers who do not see prices. As JSON, CSV or a workbook.',
  params: operationParams,
  query: hayBudgetQuery,
  answer: budgetOut,
  table: budgetTable,
  problems: ['rule-broken'],
});

const planOut = z
  .object({
    id,
    name: z.string().describe('Name of the saved plan'),
    from: period.from,
    until: period.until,
    plan: planIn.omit({ prices: true }).describe('The plan as it was made; it never changes'),
    prices: planIn.shape.prices.unwrap().describe('Null for readers without prices').nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'HayBudgetPlan', description: 'A hay plan for a period; a changed plan is a new record' });
const params = operationParams.extend({ hayBudgetPlanId: id });

export const createHayBudgetPlan = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/hay-budget-plans',
  operationId: 'createHayBudgetPlan',
  tag,
  access: 'records',
  summary: 'Save a plan for the hay',
  description:
    'Kept as it was made, so that what is actually fed can be compared with it. A changed plan is a new one.',
  params: operationParams,
  body: planIn.extend({ name }),
  answer: planOut,
  creates: (made, { operationId }) => `/v1/operations/${operationId}/hay-budget-plans/${made.id}`,
});
export const listHayBudgetPlans = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/hay-budget-plans',
  operationId: 'listHayBudgetPlans',
  tag,
  access: 'read',
  summary: 'Plans for the hay, newest first',
  params: operationParams,
  query: z.strictObject(pageQuery),
  answer: pageAnswer(planOut),
  paged: true,
});
export const getHayBudgetPlan = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/hay-budget-plans/:hayBudgetPlanId',
  operationId: 'getHayBudgetPlan',
  tag,
  access: 'read',
  summary: 'One plan',
  params,
  answer: planOut,
});
export const getHayBudgetOfPlan = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/hay-budget-plans/:hayBudgetPlanId/budget',
  operationId: 'getHayBudgetOfPlan',
  tag,
  access: 'read',
  summary: 'The hay budget of a saved plan',
  description: "Starts on the plan's first day, with the hay on hand that day.",
  params,
  query: z.strictObject(viewQuery),
  answer: budgetOut,
  table: budgetTable,
  problems: ['rule-broken'],
});

const forecastOut = z
  .object({
    planId: id,
    plan: z.string().describe('Name of the saved plan'),
    today: day,
    units: reportHead.units,
    currency: reportHead.currency,
    herds: z.array(
      z.object({
        herdId: id,
        herd: z.string().describe('Name of the herd'),
        plannedToDate: massOut,
        fedToDate: massOut,
        fedPerPlanned: decimalOut
          .describe('Fed divided by planned: 1 is as planned; null if nothing was planned')
          .nullable(),
        plannedToCome: massOut,
        forecastToCome: massOut.describe('What is still to be fed, at the rate so far'),
      }),
    ),
    plannedTotal: massOut,
    forecastTotal: massOut.describe('Fed so far plus what is still to be fed at the rate so far'),
    budget: budgetOut,
    flags: reportHead.flags,
  })
  .meta({
    id: 'YardForecast',
    description: 'What was actually fed against the plan, and what that means for the rest of it',
  });
export const getHayForecast = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/hay-budget-plans/:hayBudgetPlanId/forecast',
  operationId: 'getHayForecast',
  tag,
  access: 'read',
  summary: 'Re-forecast a plan from what was actually fed',
  description:
    "The rest of each herd's plan is scaled by how much was fed of what was planned so far. The hay on hand is " +
    "today's.",
  params,
  query: z.strictObject({
    ...viewQuery,
    on: day.optional().describe('Day to forecast from; today if left out'),
  }),
  answer: forecastOut,
  problems: ['rule-broken'],
  table: (answer) => ({
    columns: [
      text('herd'),
      text('herd_id'),
      figure(`planned_to_date_${answer.plannedTotal.unit}`),
      figure(`fed_to_date_${answer.plannedTotal.unit}`),
      figure('fed_per_planned'),
      figure(`planned_to_come_${answer.plannedTotal.unit}`),
      figure(`forecast_to_come_${answer.plannedTotal.unit}`),
    ],
    rows: answer.herds.map((one) => [
      one.herd,
      one.herdId,
      one.plannedToDate.value,
      one.fedToDate.value,
      one.fedPerPlanned,
      one.plannedToCome.value,
      one.forecastToCome.value,
    ]),
  }),
});

const change = z.strictObject({
  name: line(80).describe('Name of the what-if'),
  wastePercent: percent.optional().describe('Hay wasted, % of what is fed'),
  headTimes: times.optional().describe('Multiply head by this: 1.1 is 10 % more'),
  intakeTimes: times.optional().describe('Multiply intake by this'),
  priceTimes: times.optional().describe('Multiply prices by this'),
  herdIds: z
    .array(id)
    .min(1)
    .max(200)
    .optional()
    .describe('Only these herds; all if left out. Price changes apply to all'),
});
const whatIfOut = z
  .object({
    base: budgetOut,
    answers: z.array(
      z.object({
        name: z.string().describe('Name of the what-if, as given in the request'),
        needed: massOut,
        short: massOut,
        surplus: massOut,
        runsOutOn: day.nullable(),
        daysShort: z.number().int().describe('Number of days on which hay is short'),
        costToBuy: moneyOut.nullable(),
        neededChange: massOut,
        neededChangePercent: decimalOut
          .describe("Change in hay needed, % of the plan's; null if the plan needs none")
          .nullable(),
        shortChange: massOut,
        costChange: moneyOut.nullable(),
        daysLonger: z
          .number()
          .int()
          .describe('How many days longer the yard lasts; negative if shorter; null if either budget never runs out')
          .nullable(),
      }),
    ),
  })
  .meta({ id: 'YardWhatIfs', description: 'The budget as planned and with each change' });
export const tryHayBudget = endpoint({
  method: 'POST',
  transaction: 'read',
  path: '/v1/operations/:operationId/hay-budget-what-ifs',
  operationId: 'tryHayBudget',
  tag,
  access: 'read',
  summary: 'Try a hay budget and changes to it',
  description: 'Nothing is saved. Name a saved plan or give one here; without changes you get that budget alone.',
  params: operationParams,
  query: z.strictObject(viewQuery),
  body: z.strictObject({
    planId: id.optional().describe('Saved plan to start from'),
    plan: planIn.optional().describe('A plan given here, instead of a saved one'),
    changes: z.array(change).max(20).default([]).describe('Changes to try, each against the plan'),
  }),
  answer: whatIfOut,
  table: (answer) => ({
    columns: [
      text('name'),
      figure(`needed_${answer.base.yard.needed.unit}`),
      figure(`short_${answer.base.yard.needed.unit}`),
      calendarDay('runs_out_on'),
      figure('days_longer'),
      figure(`cost_to_buy_${answer.base.currency}`),
      figure(`cost_change_${answer.base.currency}`),
    ],
    rows: [
      [
        'as planned',
        answer.base.yard.needed.value,
        answer.base.yard.short.value,
        answer.base.yard.runsOutOn,
        null,
        answer.base.costToBuy?.amount ?? null,
        null,
      ],
      ...answer.answers.map((one) => [
        one.name,
        one.needed.value,
        one.short.value,
        one.runsOutOn,
        one.daysLonger === null ? null : String(one.daysLonger),
        one.costToBuy?.amount ?? null,
        one.costChange?.amount ?? null,
      ]),
    ],
  }),
});
