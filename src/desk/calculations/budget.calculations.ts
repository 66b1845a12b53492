import { counted } from '../../core/units/counted.js';
import { z } from 'zod';
import { balesFor, hayOnHand } from '../../core/budget/extension-methods.js';
import type { HayBudget, HayBudgetInput } from '../../core/budget/hay-budget.js';
import { hayNeed, intakeFromBodyWeight } from '../../core/budget/hay-need.js';
import { WASTE_CONVENTIONS, type WasteConvention } from '../../core/budget/waste-conventions.data.js';
import { whatIfs } from '../../core/budget/what-if.js';
import { daysBetween } from '../../core/time/calendar-day.js';
import { HEAD_EVENT_SIGNS, type HeadEventKind, integrateHeadDays } from '../../core/standing/head-days.js';
import { hayNeedCutByWaste } from '../../core/trial/if-it-held.js';
import type { Mass, MassUnit } from '../../core/units/mass.js';
import { ruleBroken } from '../../platform/http/problem.js';
import { day } from '../../platform/wire/common.schema.js';
import { currency, massUnit } from '../../platform/wire/quantity.schema.js';
import { type Calculation, calculation, type Source } from './calculation.js';
import {
  accepted,
  dryMatterPercent,
  largeUnit,
  lossPercent,
  massIn,
  massOut,
  moneyOut,
  percent,
  percentOf,
  present,
  priceIn,
  share,
  smallUnit,
  tidy,
  tidyOrNull,
  toMass,
  toPrice,
  formatMass,
  formatMoney,
} from './quantities.js';

const NEED: Source = {
  formula: 'head-days × dry-matter intake ÷ dry matter, then waste by the convention named',
  author: 'Iowa Beef Center; University of Missouri Extension',
  year: 2021,
  where: 'winter hay needs',
};
const convention = z
  .enum(Object.keys(WASTE_CONVENTIONS) as [WasteConvention, ...WasteConvention[]])
  .default('divisor')
  .describe('divisor: eaten ÷ (1 − waste). multiplier: eaten × (1 + waste), which some guides print');
const intake = z
  .union([
    z.strictObject({ dryMatterPerHeadDay: massIn.describe('Dry matter eaten per head per day') }),
    z.strictObject({
      bodyWeight: massIn,
      percentOfBodyWeight: z.number().gt(0).max(8).describe('Dry matter eaten per day, % of body weight'),
    }),
  ])
  .describe('Intake as a weight, or as a share of body weight');
const intakeOf = (given: z.output<typeof intake>): Mass =>
  'dryMatterPerHeadDay' in given
    ? toMass(given.dryMatterPerHeadDay)
    : intakeFromBodyWeight({ bodyWeight: toMass(given.bodyWeight), share: share(given.percentOfBodyWeight) });
const unitOf = (given: z.output<typeof intake>): MassUnit =>
  'dryMatterPerHeadDay' in given ? given.dryMatterPerHeadDay.unit : given.bodyWeight.unit;
const NEED_FIELDS = {
  dryMatter: 'dryMatterPercent',
  waste: 'wastePercent',
  headDays: 'headDays',
  dryMatterIntakePerHeadDay: 'intake',
};

const hayNeedOf = calculation({
  name: 'hay-need',
  family: 'budget',
  summary: 'Hay that a number of head need over a number of days',
  source: [NEED],
  body: z
    .strictObject({
      head: z.number().int().min(0).max(1e7).optional().describe('Number of head, given together with the days'),
      days: z.number().int().min(0).max(10_000).optional().describe('Number of days, given together with the head'),
      headDays: z.number().min(0).max(1e11).optional().describe('Head-days, instead of head and days'),
      intake,
      dryMatterPercent,
      wastePercent: lossPercent('Hay wasted at feeding').default(0),
      wasteConvention: convention,
      baleWeight: massIn.optional().describe('Weight of a bale, to give the need in bales too'),
    })
    .refine(
      (body) =>
        (body.headDays === undefined) === (body.head !== undefined && body.days !== undefined) &&
        (body.head === undefined) === (body.days === undefined),
      { path: ['headDays'], message: 'Give head and days, or head-days' },
    ),
  answer: {
    headDays: z.number().describe('Head-days: one head for one day is one'),
    dryMatterPerHeadDay: massOut,
    asFedPerHeadDay: massOut.describe('What one head eats per day, as fed'),
    dryMatterEaten: massOut,
    asFedEaten: massOut,
    wasted: massOut,
    needed: massOut.describe('Hay to put out, waste included'),
    neededInLargeUnits: massOut,
    bales: z.number().int().describe('How many whole bales that is; null if no bale weight was given').nullable(),
    wasteConvention: z.string().describe('How waste was allowed for'),
    wasteConventionSource: z.string().describe('Who publishes this convention'),
  },
  run: (body) => {
    const count = body.headDays ?? (body.head ?? 0) * (body.days ?? 0);
    const dryMatterIntakePerHeadDay = intakeOf(body.intake);
    const terms = {
      dryMatterIntakePerHeadDay,
      dryMatter: share(body.dryMatterPercent),
      waste: share(body.wastePercent),
      wasteConvention: body.wasteConvention,
    };
    const headDays = Number.isInteger(count) ? count : share(count * 100);
    const need = accepted(hayNeed({ ...terms, headDays }), NEED_FIELDS);
    const each = accepted(hayNeed({ ...terms, headDays: 1 }), NEED_FIELDS);
    const small = smallUnit(unitOf(body.intake));
    return {
      headDays: count,
      dryMatterPerHeadDay: formatMass(dryMatterIntakePerHeadDay, small),
      asFedPerHeadDay: formatMass(each.asFedEaten, small),
      dryMatterEaten: formatMass(need.dryMatterEaten, small),
      asFedEaten: formatMass(need.asFedEaten, small),
      wasted: formatMass(need.wasted, small),
      needed: formatMass(need.needed, small),
      neededInLargeUnits: formatMass(need.needed, largeUnit(small)),
      bales:
        body.baleWeight === undefined ? null : balesFor({ needed: need.needed, baleWeight: toMass(body.baleWeight) }),
      wasteConvention: WASTE_CONVENTIONS[need.wasteConvention].name,
      wasteConventionSource: need.wasteConventionSource,
    };
  },
});

const hayOnHandOf = calculation({
  name: 'hay-on-hand',
  family: 'budget',
  summary: 'Usable hay in a number of bales after losses',
  source: [
    {
      formula: 'bales × weight × (1 − loss)',
      author: 'Pyles, University of Kentucky Extension',
      year: null,
      where: 'Estimating winter hay needs',
    },
  ],
  body: z.strictObject({
    bales: z.number().int().min(0).max(1e7).describe('Number of bales'),
    baleWeight: massIn,
    lossPercent: lossPercent('Hay lost in storage and at feeding'),
  }),
  answer: { usable: massOut },
  run: (body) => ({
    usable: formatMass(
      hayOnHand({ bales: body.bales, baleWeight: toMass(body.baleWeight), loss: share(body.lossPercent) }),
      body.baleWeight.unit,
    ),
  }),
});

const wasteComparison = calculation({
  name: 'waste-comparison',
  family: 'budget',
  summary: 'How much less hay is needed when less is wasted',
  description: 'The hay eaten stays the same; the hay put out changes.',
  source: [NEED],
  body: z.strictObject({
    fromPercent: lossPercent('Hay wasted now, of what is fed'),
    toPercent: lossPercent('Hay wasted after the change, of what is fed'),
    eaten: massIn.optional().describe('Hay eaten over the period in question'),
    price: priceIn.optional(),
  }),
  answer: {
    needPerUnitEatenFrom: z.number().describe('Hay put out per unit eaten, now'),
    needPerUnitEatenTo: z.number().describe('Hay put out per unit eaten, after the change'),
    cutPercent: z.number().describe('Cut in the hay needed, %; below zero if more is needed'),
    saved: massOut.describe('Hay saved, as fed; null if no hay eaten was given').nullable(),
    moneySaved: moneyOut.describe('What the hay saved is worth; null if no price or no hay eaten was given').nullable(),
  },
  run: ({ fromPercent, toPercent, eaten, price }) => {
    const answer = hayNeedCutByWaste({ wasteShareBefore: fromPercent / 100, wasteShareAfter: toPercent / 100 });
    const need = (waste: number) =>
      accepted(
        hayNeed({
          headDays: 1,
          dryMatterIntakePerHeadDay: eaten === undefined ? toMass({ value: '1', unit: 'kg' }) : toMass(eaten),
          dryMatter: '1',
          waste: share(waste),
        }),
      ).needed;
    const saved = need(fromPercent).minus(need(toPercent));
    return {
      needPerUnitEatenFrom: tidy(answer.needPerTonEatenBefore),
      needPerUnitEatenTo: tidy(answer.needPerTonEatenAfter),
      cutPercent: tidy(100 * answer.cutShare),
      saved: eaten === undefined ? null : formatMass(saved, eaten.unit),
      moneySaved: eaten === undefined || price === undefined ? null : formatMoney(toPrice(price).for(saved)),
    };
  },
});

const headEventIn = z.strictObject({
  day,
  kind: z
    .enum(Object.keys(HEAD_EVENT_SIGNS) as [HeadEventKind, ...HeadEventKind[]])
    .describe('What happened, by its code'),
  head: z.number().int().min(1).max(1e6).describe('Number of head'),
});
const LONGEST_SPAN_DAYS = 1100;
const span = {
  from: day.describe('First day of the period'),
  until: day.describe('The day after the last day of the period'),
};
function checkedSpan({ from, until }: { from: string; until: string }): void {
  const days = daysBetween(from, until);
  if (days <= 0 || days > LONGEST_SPAN_DAYS)
    throw ruleBroken(
      '#/until',
      'span-out-of-range',
      until,
      `1 to ${LONGEST_SPAN_DAYS} days after ${from}`,
      `From ${from} until ${until} is ${counted(days, 'day')}.`,
    );
}

const headDaysOf = calculation({
  name: 'head-days',
  heavy: true,
  family: 'budget',
  summary: 'Head-days of a herd from its history',
  source: [
    {
      formula: 'sum of the head on each day; an event counts from its own day on',
      author: 'Arithmetic',
      year: null,
      where: 'convention named',
    },
  ],
  body: z.strictObject({ ...span, events: z.array(headEventIn).min(1).max(2000) }),
  answer: {
    headDays: z.number().describe('Head-days: one head for one day is one'),
    days: z.number().int().describe('Days in the period'),
    averageHead: z.number().describe('Mean head count over the days'),
    openingHead: z.number().int().describe('Number of head on the first day'),
    closingHead: z.number().int().describe('Number of head on the last day'),
    byMonth: z.array(
      z.object({
        month: z.string().describe('Calendar month, YYYY-MM'),
        headDays: z.number().describe('Head-days: one head for one day is one'),
      }),
    ),
  },
  run: (body) => {
    checkedSpan(body);
    const flow = accepted(integrateHeadDays(body));
    return {
      headDays: flow.headDays,
      days: flow.days,
      averageHead: tidy(flow.averageHead),
      openingHead: flow.openingHead,
      closingHead: flow.closingHead,
      byMonth: flow.byMonth.map(({ month, headDays }) => ({ month, headDays })),
    };
  },
});

const name = z.string().trim().min(1).max(80);
const herdIn = z.strictObject({
  name: name.describe('Name of the herd'),
  headEvents: z.array(headEventIn).min(1).max(500),
  intake,
  dryMatterPercent: dryMatterPercent.describe('Dry matter of its hay, %'),
  wastePercent: lossPercent('Hay wasted at feeding').default(0),
  wasteConvention: convention,
  kinds: z
    .array(
      z.strictObject({
        hayKind: name.describe('Kind of hay, by its code'),
        sharePercent: percent('Share of the kind in what is fed'),
      }),
    )
    .min(1)
    .max(20)
    .describe('Kinds of hay it is fed; shares add up to 100 %'),
});
const lotIn = z.strictObject({
  name: name.describe('Name of the hay lot'),
  hayKind: name.describe('Kind of hay, by its code'),
  balance: massIn,
  storedOn: day,
  countedOn: day.describe('Day on which the balance was counted'),
  seasonLossPercent: lossPercent('Hay lost over a storage season').default(0),
  seasonDays: z.number().int().min(1).max(2000).optional().describe('Length of the storage season, days'),
});
const changeIn = z.strictObject({
  name: name.describe('Name of the what-if'),
  wastePercent: lossPercent('Hay wasted, of what is fed').optional(),
  headTimes: z.number().gt(0).max(100).optional().describe('Factor on the head count, such as 1.1'),
  intakeTimes: z.number().gt(0).max(100).optional().describe('Factor on the intake, such as 1.05'),
  priceTimes: z.number().gt(0).max(100).optional().describe('Factor on every price, such as 1.2'),
  herds: z.array(name).max(50).optional().describe('Only these herds'),
});

const budgetOut = z
  .object({
    yard: z.object({
      needed: massOut,
      fed: massOut,
      short: massOut,
      surplus: massOut,
      runsOutOn: day.describe('First day whose need the yard cannot meet; null if there is none').nullable(),
      daysShort: z.number().int().describe('Days on which the hay falls short'),
    }),
    lots: z.array(
      z.object({
        name: z.string().describe('Name of the hay lot'),
        hayKind: z.string().describe('Kind of hay, as given in the request'),
        fed: massOut,
        lost: massOut,
        left: massOut,
        runsOutOn: day.describe('Day on which its last hay is fed; null if it outlasts the period').nullable(),
      }),
    ),
    kinds: z.array(
      z.object({
        hayKind: z.string().describe('Kind of hay, as given in the request'),
        needed: massOut,
        fed: massOut,
        short: massOut,
        surplus: massOut,
        firstShortOn: day.nullable(),
      }),
    ),
    months: z.array(
      z.object({
        month: z.string().describe('Calendar month, YYYY-MM'),
        hayKind: z.string().describe('Kind of hay, as given in the request'),
        needed: massOut,
        short: massOut,
      }),
    ),
    toBuy: z.array(
      z.object({
        hayKind: z.string().describe('Kind of hay, as given in the request'),
        mass: massOut,
        cost: moneyOut.nullable(),
      }),
    ),
    costToBuy: moneyOut.describe('Null while a kind to buy has no price').nullable(),
  })
  .meta({ id: 'CalculatedHayBudget', description: 'A hay budget, fed day by day' });

function budgetAnswer(budget: HayBudget, unit: MassUnit): z.input<typeof budgetOut> {
  const mass = (value: Mass) => formatMass(value, unit);
  const { yard } = budget;
  return {
    yard: {
      needed: mass(yard.needed),
      fed: mass(yard.fed),
      short: mass(yard.short),
      surplus: mass(yard.surplus),
      runsOutOn: yard.runsOutOn,
      daysShort: yard.daysShort,
    },
    lots: budget.lots.map((lot) => ({
      name: lot.lotId,
      hayKind: lot.hayKind,
      fed: mass(lot.fed),
      lost: mass(lot.lost),
      left: mass(lot.left),
      runsOutOn: lot.runsOutOn,
    })),
    kinds: budget.kinds.map((kind) => ({
      hayKind: kind.hayKind,
      needed: mass(kind.needed),
      fed: mass(kind.fed),
      short: mass(kind.short),
      surplus: mass(kind.surplus),
      firstShortOn: kind.firstShortOn,
    })),
    months: budget.months.map((month) => ({
      month: month.month,
      hayKind: month.hayKind,
      needed: mass(month.needed),
      short: mass(month.short),
    })),
    toBuy: budget.toBuy.map((row) => ({
      hayKind: row.hayKind,
      mass: mass(row.mass),
      cost: row.cost === null ? null : formatMoney(row.cost),
    })),
    costToBuy: budget.costToBuy === null ? null : formatMoney(budget.costToBuy),
  };
}

const hayBudgetOf = calculation({
  name: 'hay-budget',
  heavy: true,
  family: 'budget',
  summary: 'When each lot and the yard run out, what is short and what that costs',
  description:
    'The yard is fed day by day; each lot loses hay in storage until it is used. Changes are tried side ' +
    'by side and nothing is saved.',
  source: [NEED],
  body: z.strictObject({
    ...span,
    unit: massUnit.default('ton'),
    herds: z.array(herdIn).min(1).max(50),
    lots: z.array(lotIn).max(200).describe('The lots, in the order in which they are fed'),
    prices: z
      .array(z.strictObject({ hayKind: name.describe('Kind of hay, by its code'), price: priceIn }))
      .max(50)
      .default([])
      .describe('Price of each hay delivered to the yard'),
    substituteKinds: z.boolean().default(false).describe('True to feed from other lots when a kind runs out'),
    changes: z.array(changeIn).max(10).default([]).describe('The what-ifs to try against the plan, one entry each'),
  }),
  answer: {
    budget: budgetOut,
    changes: z.array(
      z.object({
        name: z.string().describe('Name of the what-if'),
        budget: budgetOut,
        neededChange: massOut,
        neededChangePercent: z
          .number()
          .describe("Change of the need, % of the plan's; null where the plan needs none")
          .nullable(),
        shortChange: massOut,
        costChange: moneyOut.nullable(),
        daysLonger: z
          .number()
          .int()
          .describe('Days by which the yard lasts longer; null if either never runs out')
          .nullable(),
      }),
    ),
  },
  run: ({ unit, substituteKinds, herds, lots, prices, changes, from, until }) => {
    checkedSpan({ from, until });
    const code: z.output<typeof currency> = prices[0]?.price.currency ?? 'USD';
    const base: HayBudgetInput = {
      from,
      until,
      currency: code,
      substituteKinds,
      prices: prices.map(({ hayKind, price }) => ({ hayKind, price: toPrice(price) })),
      herds: herds.map((herd) => ({
        herdId: herd.name,
        headEvents: herd.headEvents,
        dryMatterIntakePerHeadDay: intakeOf(herd.intake),
        dryMatter: share(herd.dryMatterPercent),
        waste: share(herd.wastePercent),
        wasteConvention: herd.wasteConvention,
        kinds: herd.kinds.map(({ hayKind, sharePercent }) => ({ hayKind, share: share(sharePercent) })),
      })),
      lots: lots.map((lot) => ({
        lotId: lot.name,
        hayKind: lot.hayKind,
        balance: toMass(lot.balance),
        storedOn: lot.storedOn,
        countedOn: lot.countedOn,
        seasonLoss: share(lot.seasonLossPercent),
        ...present({ seasonDays: lot.seasonDays }),
      })),
    };
    const times = (factor: number | undefined) => (factor === undefined ? undefined : share(factor * 100));
    const answer = accepted(
      whatIfs({
        base,
        changes: changes.map((change) => ({
          name: change.name,
          ...present({
            waste: change.wastePercent === undefined ? undefined : share(change.wastePercent),
            headTimes: times(change.headTimes),
            intakeTimes: times(change.intakeTimes),
            priceTimes: times(change.priceTimes),
            herdIds: change.herds,
          }),
        })),
      }),
      {
        seasonLoss: 'seasonLossPercent',
        waste: 'wastePercent',
        dryMatter: 'dryMatterPercent',
        dryMatterIntakePerHeadDay: 'intake',
        events: 'headEvents',
      },
    );
    return {
      budget: budgetAnswer(answer.base, unit),
      changes: answer.answers.map((one) => ({
        name: one.name,
        budget: budgetAnswer(one.budget, unit),
        neededChange: formatMass(one.neededChange, unit),
        neededChangePercent: tidyOrNull(one.neededChangeShare === null ? null : percentOf(one.neededChangeShare)),
        shortChange: formatMass(one.shortChange, unit),
        costChange: one.costChange === null ? null : formatMoney(one.costChange),
        daysLonger: one.daysLonger,
      })),
    };
  },
});

export const BUDGET_CALCULATIONS: readonly Calculation[] = [
  hayNeedOf,
  hayOnHandOf,
  wasteComparison,
  headDaysOf,
  hayBudgetOf,
];
