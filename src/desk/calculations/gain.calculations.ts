import { z } from 'zod';
import { bifAdjusted205DayWeight, bifAgeOfDamAdditions } from '../../core/gain/adjusted-weaning-weight.js';
import {
  costOfGain,
  DEFAULT_WEIGHING_WINDOW_DAYS,
  daysToGain,
  feedConversion,
  rationCostOfGain,
} from '../../core/gain/cost-of-gain.js';
import { averageDailyGain, gainOverTime, herdGain, type HerdGain } from '../../core/gain/daily-gain.js';
import { readTagNumber } from '../../core/gain/tag-number.js';
import { breakEvenPurchase, breakEvenSale, valueOfGain } from '../../core/gain/value-of-gain.js';
import { weighingCautions } from '../../core/gain/weighing-cautions.js';
import { msStateShrinkByHours, nrc2000FullWeight, nrc2000ShrunkWeight, pencilShrink } from '../../core/gain/weights.js';
import { decimal, decimalFromFloat } from '../../core/units/decimal.js';
import { Mass, type MassUnit } from '../../core/units/mass.js';
import { day } from '../../platform/wire/common.schema.js';
import { decimalIn, massInOrZero, massUnit } from '../../platform/wire/quantity.schema.js';
import { type Calculation, calculation, type Source } from './calculation.js';
import {
  accepted,
  massIn,
  massOut,
  moneyIn,
  moneyOut,
  noted,
  present,
  priceIn,
  pricePerMassOut,
  share,
  smallUnit,
  tidy,
  toMass,
  toMoney,
  toPrice,
  warnings,
  formatDecimal,
  formatMass,
  formatMoney,
  formatPrice,
} from './quantities.js';

const fill = z.enum(['full', 'shrunk']).default('full').describe('Gut full, or shrunk');
const WEIGHING: Source = {
  formula: 'gut fill and the length of the period',
  author: 'Watson et al.; Aiken & Tabler',
  year: 2013,
  where: 'J. Anim. Sci. 91:5507-5517; Prof. Anim. Sci. 20:524-527',
};
const weighingCaution = z
  .array(
    z.object({
      code: z.string().describe('Code that stays the same between releases'),
      value: z.number().describe('The figure that raised it'),
      limit: z.number().describe('The limit it passed'),
      message: z.string().describe('The caution in a sentence'),
      source: z.string().describe('Where the limit comes from'),
    }),
  )
  .describe('A caution about what the weights can show');
const signedGain = z
  .strictObject({ value: decimalIn, unit: massUnit })
  .describe('Gain per head per day; below zero for a loss');
const toGain = (given: z.output<typeof signedGain>) => toMass(given);

const dailyGain = calculation({
  name: 'daily-gain',
  family: 'gain',
  summary: 'Average daily gain between two weighings of the same cattle',
  source: [
    { formula: '(end − start) ÷ days', author: 'Reiling, Nebraska Extension', year: 2023, where: 'G2095' },
    WEIGHING,
  ],
  body: z.strictObject({
    start: z.strictObject({ day, weight: massIn, fill }),
    end: z.strictObject({ day, weight: massIn, fill }),
  }),
  answer: {
    days: z.number().int().describe('Days between the two measurements'),
    gainPerHead: massOut,
    dailyGain: massOut.describe('Live weight gained, per head per day'),
    cautions: weighingCaution,
  },
  run: ({ start, end }) => {
    const answer = accepted(
      averageDailyGain({
        startDay: start.day,
        startWeight: toMass(start.weight),
        endDay: end.day,
        endWeight: toMass(end.weight),
      }),
      { startDay: 'start/day', startWeight: 'start/weight/value', endDay: 'end/day', endWeight: 'end/weight/value' },
    );
    const { unit } = start.weight;
    return {
      days: answer.days,
      gainPerHead: formatMass(answer.gainPerHead, unit),
      dailyGain: formatMass(answer.dailyGain, unit),
      cautions: weighingCautions({
        days: answer.days,
        dailyGain: answer.dailyGain,
        startState: start.fill,
        endState: end.fill,
      }),
    };
  },
});

const gainOver = calculation({
  name: 'gain-over-time',
  heavy: true,
  family: 'gain',
  summary: 'What a daily gain adds up to over a number of head and days',
  source: [{ formula: 'gain × days × head', author: 'common practice, no source', year: null, where: 'arithmetic' }],
  body: z.strictObject({
    dailyGain: signedGain,
    days: z.number().int().min(0).max(10_000).describe('Number of days'),
    head: z.number().int().min(0).max(1e6).describe('Number of head'),
  }),
  answer: { perHead: massOut, total: massOut },
  run: ({ dailyGain: gain, days, head }) => ({
    perHead: formatMass(gainOverTime({ dailyGain: toGain(gain), head: 1, days }), gain.unit),
    total: formatMass(gainOverTime({ dailyGain: toGain(gain), head, days }), gain.unit),
  }),
});

const daysFor = calculation({
  name: 'days-to-gain',
  family: 'gain',
  summary: 'Days to put on a given gain at a given daily gain',
  source: [
    {
      formula: 'gain ÷ daily gain',
      author: 'Alberta Agriculture',
      year: null,
      where: '4-H feeding terms and feed cost calculations',
    },
  ],
  body: z.strictObject({ gain: massIn, dailyGain: massIn.describe('Live weight gained, per head per day') }),
  answer: {
    days: z.number().int().describe('Whole days, rounded up'),
    exactDays: z.string().describe('The same before rounding, decimal as text'),
  },
  run: ({ gain, dailyGain: daily }) => {
    const answer = accepted(daysToGain({ gain: toMass(gain), dailyGain: toMass(daily) }), {
      dailyGain: 'dailyGain/value',
    });
    return { days: answer.days, exactDays: formatDecimal(answer.exactDays) };
  },
});

const weighIn = z.strictObject({
  day,
  head: z.number().int().min(1).max(1e6).describe('Number of head that were weighed'),
  totalWeight: massIn.describe('Weight of all of them together'),
});
const flowIn = z.strictObject({
  day,
  direction: z.enum(['in', 'out']).describe('Whether the cattle joined the herd or left it'),
  head: z.number().int().min(1).max(1e6).describe('Number of head'),
  totalWeight: massIn.describe('Weight of all of them together'),
  cause: z
    .enum(['move', 'sale', 'death', 'purchase'])
    .optional()
    .describe('Why they moved; a death counts as weight out too'),
});
const herdWeights = {
  opening: weighIn,
  closing: weighIn,
  flows: z.array(flowIn).max(1000).default([]),
  headDays: z.number().gt(0).max(1e9).describe('Head-days between the weighings'),
};
const toWeighIn = (given: z.output<typeof weighIn>) => ({
  day: given.day,
  head: given.head,
  totalWeight: toMass(given.totalWeight),
});
const toFlow = ({ totalWeight, ...rest }: z.output<typeof flowIn>) => ({
  ...present(rest),
  totalWeight: toMass(totalWeight),
});
const gainOut = z.object({
  openingWeight: massOut,
  closingWeight: massOut,
  weightIn: massOut,
  weightOut: massOut,
  totalGain: massOut,
  dailyGain: massOut.describe('Gain per head per day, over the head-days'),
});
const gainAnswer = (gain: HerdGain, unit: MassUnit): z.input<typeof gainOut> => ({
  openingWeight: formatMass(gain.openingWeight, unit),
  closingWeight: formatMass(gain.closingWeight, unit),
  weightIn: formatMass(gain.weightIn, unit),
  weightOut: formatMass(gain.weightOut, unit),
  totalGain: formatMass(gain.totalGain, unit),
  dailyGain: formatMass(gain.dailyGain, unit),
});
const HERD: Source = {
  formula: 'closing + out − in − opening weight, over head-days',
  author: 'Reiling, Nebraska Extension',
  year: 2023,
  where: 'G2095, carried to a herd with head flow',
};

const herdGainOf = calculation({
  name: 'herd-gain',
  family: 'gain',
  summary: 'Gain of a herd with cattle coming and going',
  source: [HERD],
  body: z.strictObject(herdWeights),
  answer: { gain: gainOut },
  run: ({ opening, closing, flows, headDays }) => ({
    gain: gainAnswer(
      accepted(
        herdGain({ opening: toWeighIn(opening), closing: toWeighIn(closing), flows: flows.map(toFlow), headDays }),
        { 'closing.head': 'closing/head' },
      ),
      smallUnit(opening.totalWeight.unit),
    ),
  }),
});

const costOfGainOf = calculation({
  name: 'cost-of-gain',
  family: 'gain',
  summary: 'Feed and total cost of gain of a herd',
  description:
    'Refused, with the reason, where the weights cannot support it: no weighing near enough, head counts that do not ' +
    'match, or a gain that is not above zero.',
  source: [
    { formula: 'cost ÷ weight gained', author: 'Reiling, Nebraska Extension', year: 2023, where: 'G2095' },
    HERD,
  ],
  body: z.strictObject({
    from: day,
    until: day.describe('The day after the last day of the period'),
    ...herdWeights,
    feedCost: moneyIn,
    yardagePerHeadDay: moneyIn.optional(),
    otherCost: moneyIn.optional(),
    windowDays: z
      .number()
      .int()
      .min(0)
      .max(90)
      .default(DEFAULT_WEIGHING_WINDOW_DAYS)
      .describe('How many days a weighing may be from the day it is used for; 7 is common practice, no source'),
  }),
  answer: {
    gain: gainOut,
    feedCost: moneyOut,
    yardageCost: moneyOut,
    otherCost: moneyOut,
    totalCost: moneyOut,
    feedCostOfGain: pricePerMassOut,
    totalCostOfGain: pricePerMassOut,
    costPerHeadDay: moneyOut,
    weighingOffsetDays: z.object({
      opening: z.number().int().describe('Days between the opening weighing and the first day'),
      closing: z.number().int().describe('Days between the closing weighing and the end'),
    }),
  },
  run: (body) => {
    const code = body.feedCost.currency;
    const answer = accepted(
      costOfGain({
        from: body.from,
        until: body.until,
        opening: toWeighIn(body.opening),
        closing: toWeighIn(body.closing),
        flows: body.flows.map(toFlow),
        headDays: body.headDays,
        feedCost: toMoney(body.feedCost),
        windowDays: body.windowDays,
        yardagePerHeadDay: toMoney(body.yardagePerHeadDay ?? { amount: '0', currency: code }),
        ...present({ otherCost: body.otherCost && toMoney(body.otherCost) }),
      }),
      { gain: 'closing/totalWeight/value' },
    );
    const unit = smallUnit(body.opening.totalWeight.unit);
    return {
      gain: gainAnswer(answer.gain, unit),
      feedCost: formatMoney(answer.feedCost),
      yardageCost: formatMoney(answer.yardageCost),
      otherCost: formatMoney(answer.otherCost),
      totalCost: formatMoney(answer.totalCost),
      feedCostOfGain: formatPrice(answer.feedCostOfGain, unit),
      totalCostOfGain: formatPrice(answer.totalCostOfGain, unit),
      costPerHeadDay: formatMoney(answer.costPerHeadDay),
      weighingOffsetDays: { ...answer.weighingOffsetDays },
    };
  },
});

const rationCost = calculation({
  name: 'ration-cost-of-gain',
  family: 'gain',
  summary: 'Cost of gain of a ration from its cost per day and a daily gain',
  source: [
    {
      formula: 'cost per head per day ÷ daily gain',
      author: 'Alberta Agriculture',
      year: null,
      where: '4-H feeding terms and feed cost calculations',
    },
  ],
  body: z.strictObject({ costPerHeadDay: moneyIn, dailyGain: massIn.describe('Live weight gained, per head per day') }),
  answer: { costOfGain: pricePerMassOut },
  run: ({ costPerHeadDay, dailyGain: gain }) => ({
    costOfGain: formatPrice(
      accepted(rationCostOfGain({ costPerHeadDay: toMoney(costPerHeadDay), dailyGain: toMass(gain) }), {
        dailyGain: 'dailyGain/value',
      }).costOfGain,
      gain.unit,
    ),
  }),
});

const conversion = calculation({
  name: 'feed-conversion',
  family: 'gain',
  summary: 'Dry matter per unit of gain, by what was fed and by what was eaten',
  source: [{ formula: 'dry matter ÷ gain', author: 'Reiling, Nebraska Extension', year: 2023, where: 'G2095' }],
  body: z.strictObject({
    dryMatterFed: massIn,
    dryMatterRefused: massInOrZero.default({ value: '0', unit: 'kg' }),
    dryMatterWasted: massInOrZero.default({ value: '0', unit: 'kg' }),
    gain: massIn,
  }),
  answer: {
    dryMatterEaten: massOut,
    fedPerGain: z.string().describe('Dry matter fed per unit of gain, decimal as text'),
    eatenPerGain: z.string().describe('Dry matter eaten per unit of gain, decimal as text'),
  },
  run: (body) => {
    const answer = accepted(
      feedConversion({
        dryMatterFed: toMass(body.dryMatterFed),
        dryMatterRefused: toMass(body.dryMatterRefused),
        dryMatterWasted: toMass(body.dryMatterWasted),
        gain: toMass(body.gain),
      }),
    );
    return {
      dryMatterEaten: formatMass(answer.dryMatterEaten, body.dryMatterFed.unit),
      fedPerGain: formatDecimal(answer.fedPerGain),
      eatenPerGain: formatDecimal(answer.eatenPerGain),
    };
  },
});

const gainValue = calculation({
  name: 'value-of-gain',
  family: 'gain',
  summary: 'What a pound of gain is worth after the price slide',
  source: [
    {
      formula: '(value out − value in) ÷ weight gained',
      author: 'Clemson Extension; Kansas State University',
      year: 2019,
      where: 'Beef Tips, November 2019',
    },
  ],
  body: z.strictObject({ weightIn: massIn, priceIn, weightOut: massIn, priceOut: priceIn }),
  answer: { valueIn: moneyOut, valueOut: moneyOut, addedValue: moneyOut, valueOfGain: pricePerMassOut },
  run: (body) => {
    const answer = accepted(
      valueOfGain({
        weightIn: toMass(body.weightIn),
        priceIn: toPrice(body.priceIn),
        weightOut: toMass(body.weightOut),
        priceOut: toPrice(body.priceOut),
      }),
      { weightOut: 'weightOut/value' },
    );
    return {
      valueIn: formatMoney(answer.valueIn),
      valueOut: formatMoney(answer.valueOut),
      addedValue: formatMoney(answer.addedValue),
      valueOfGain: formatPrice(answer.valueOfGain, body.weightIn.unit),
    };
  },
});

const shrinkPercent = z.number().min(0).lt(100);
const BREAK_EVEN: Source = {
  formula: '(purchase + keep) ÷ weight sold, after shrink and death loss',
  author: 'Kansas State University',
  year: 2019,
  where: 'Beef Tips, November 2019',
};
const breakEvenSaleOf = calculation({
  name: 'break-even-sale',
  family: 'gain',
  summary: 'Selling price that pays for an animal and its keep',
  source: [BREAK_EVEN],
  body: z.strictObject({
    purchaseCost: moneyIn,
    costOfKeeping: moneyIn,
    finalWeight: massIn,
    shrinkPercent: shrinkPercent.default(0).describe('Shrink at sale, %'),
    deathLossPercent: shrinkPercent.default(0).describe('Head lost to death, % of the head bought'),
    pricePer: massUnit.optional().describe('Mass unit of the price in the answer; that of the weight if left out'),
  }),
  answer: { totalCost: moneyOut, saleWeight: massOut, breakEvenPrice: pricePerMassOut },
  run: (body) => {
    const answer = accepted(
      breakEvenSale({
        purchaseCost: toMoney(body.purchaseCost),
        costOfKeeping: toMoney(body.costOfKeeping),
        finalWeight: toMass(body.finalWeight),
        shrink: share(body.shrinkPercent),
        deathLoss: share(body.deathLossPercent),
      }),
      { shrink: 'shrinkPercent', deathLoss: 'deathLossPercent', finalWeight: 'finalWeight/value' },
    );
    return {
      totalCost: formatMoney(answer.totalCost),
      saleWeight: formatMass(answer.saleWeight, body.finalWeight.unit),
      breakEvenPrice: formatPrice(answer.breakEvenPrice, body.pricePer ?? body.finalWeight.unit),
    };
  },
});

const breakEvenPurchaseOf = calculation({
  name: 'break-even-purchase',
  family: 'gain',
  summary: 'The most one can pay for cattle that will sell for a given value',
  source: [{ ...BREAK_EVEN, formula: '(sale value − keep − wanted profit) ÷ weight in' }],
  body: z.strictObject({
    saleValue: moneyIn,
    costOfKeeping: moneyIn,
    wantedProfit: moneyIn.optional(),
    weightIn: massIn,
  }),
  answer: {
    breakEvenPrice: pricePerMassOut.describe('Break-even price; below zero where the sale does not even pay the keep'),
  },
  run: (body) => ({
    breakEvenPrice: formatPrice(
      breakEvenPurchase({
        saleValue: toMoney(body.saleValue),
        costOfKeeping: toMoney(body.costOfKeeping),
        weightIn: toMass(body.weightIn),
        ...present({ wantedProfit: body.wantedProfit && toMoney(body.wantedProfit) }),
      }),
      body.weightIn.unit,
    ),
  }),
});

const adjusted205 = calculation({
  name: 'adjusted-205-day-weight',
  family: 'gain',
  summary: 'Weaning weight adjusted to 205 days and to the age of the dam',
  source: [
    {
      formula: '(weaning − birth) ÷ age × 205 + birth + age-of-dam addition',
      author: 'Beef Improvement Federation',
      year: null,
      where: 'Guidelines, as given by Michigan State University Extension',
    },
  ],
  body: z.strictObject({
    weaningWeight: massIn,
    birthWeight: massIn,
    ageDays: z.number().int().min(1).max(1000).describe('Age at weaning, days'),
    sex: z.enum(['male', 'female']).describe('Sex of the calf, for the published adjustment'),
    damAgeYears: z.number().int().min(0).max(40).describe('Age of the dam at calving, whole years'),
  }),
  answer: {
    adjustedWeight: massOut,
    gainPerDay: massOut,
    ageOfDamAddition: massOut,
    birthWeightAddition: massOut.describe('Correction of birth weight for the age of the dam'),
    warnings,
  },
  run: (body) => {
    const answer = accepted(
      bifAdjusted205DayWeight({
        weaningWeight: toMass(body.weaningWeight),
        birthWeight: toMass(body.birthWeight),
        ageDays: body.ageDays,
        sex: body.sex,
        damAgeYears: body.damAgeYears,
      }),
      { weaningWeight: 'weaningWeight/value', birthWeight: 'birthWeight/value' },
    );
    const additions = bifAgeOfDamAdditions(body.damAgeYears);
    const { unit } = body.weaningWeight;
    return {
      birthWeightAddition: formatMass('ok' in additions ? Mass.zero : additions.birth, unit),
      adjustedWeight: formatMass(answer.weight, unit),
      gainPerDay: formatMass(answer.gainPerDay, unit),
      ageOfDamAddition: formatMass(answer.ageOfDamAddition, unit),
      warnings: answer.flags.map(({ code, message }) => ({ code, message, source: answer.source })),
    };
  },
});

const shrink = calculation({
  name: 'shrink',
  family: 'gain',
  summary: 'Pencil shrink, shrink by hours off feed, and the 4 % between full and shrunk weight',
  source: [
    {
      formula: 'pay weight = weight × (1 − shrink)',
      author: 'Noble Research Institute',
      year: 1998,
      where: 'Managing shrink',
    },
    {
      formula: 'about 1 % an hour for 4 hours, then 0.25 % an hour',
      author: 'Mississippi State University Extension',
      year: null,
      where: 'P2577',
    },
    {
      formula: 'shrunk = 0.96 × full',
      author: 'National Research Council',
      year: 2000,
      where: 'Nutrient Requirements of Beef Cattle, Update 2000',
    },
  ],
  body: z.strictObject({
    weight: massIn,
    weightIs: z.enum(['full', 'shrunk']).default('full').describe('Whether the weight is full or shrunk'),
    pencilPercent: shrinkPercent.optional().describe('Pencil shrink, %'),
    price: priceIn.optional(),
    hoursOffFeedAndWater: z
      .number()
      .min(0)
      .max(200)
      .optional()
      .describe('Hours that the cattle stood without feed and water'),
  }),
  answer: {
    fullWeight: massOut,
    shrunkWeight: massOut.describe('Shrunk weight by the standard 4 %'),
    pencil: z
      .object({ payWeight: massOut, value: moneyOut.nullable(), valueWithoutShrink: moneyOut.nullable() })
      .nullable(),
    byHours: z
      .object({
        shrinkPercent: z.number().describe('Share of weight lost, %'),
        weight: massOut.describe('Weight that is left of the full weight'),
        beyondSource: z.boolean().describe('True beyond the hours that the source covers'),
      })
      .nullable(),
    warnings,
  },
  run: ({ weight, weightIs, pencilPercent, price, hoursOffFeedAndWater }) => {
    const given = toMass(weight);
    const full = weightIs === 'full' ? given : nrc2000FullWeight(given);
    const pencil =
      pencilPercent === undefined
        ? undefined
        : accepted(
            pencilShrink({
              weight: given,
              shrink: share(pencilPercent),
              ...present({ price: price && toPrice(price) }),
            }),
            { shrink: 'pencilPercent' },
          );
    const hours = hoursOffFeedAndWater === undefined ? undefined : msStateShrinkByHours(hoursOffFeedAndWater);
    return {
      fullWeight: formatMass(full, weight.unit),
      shrunkWeight: formatMass(weightIs === 'full' ? nrc2000ShrunkWeight(given) : given, weight.unit),
      pencil:
        pencil === undefined
          ? null
          : {
              payWeight: formatMass(pencil.payWeight, weight.unit),
              value: pencil.value === undefined ? null : formatMoney(pencil.value),
              valueWithoutShrink: price === undefined ? null : formatMoney(toPrice(price).for(given)),
            },
      byHours:
        hours === undefined
          ? null
          : {
              shrinkPercent: tidy(100 * hours.share),
              weight: formatMass(full.times(decimal(1).minus(decimalFromFloat(hours.share, 12))), weight.unit),
              beyondSource: hours.beyondSource,
            },
      warnings: (pencil?.warnings ?? []).map(noted),
    };
  },
});

const tagNumber = calculation({
  name: 'tag-number',
  family: 'gain',
  summary: 'An electronic animal number, checked and broken down',
  source: [
    {
      formula: '15 digits: 3 of country or manufacturer, 12 of a 38-bit national code',
      author: 'International Organization for Standardization',
      year: null,
      where: 'ISO 11784; prefixes after ISO 3166-1 and ICAR (ranges from memory)',
    },
  ],
  body: z.strictObject({
    tagNumber: z.string().min(1).max(60).describe('Number as read from the tag; spaces and hyphens are ignored'),
  }),
  answer: {
    digits: z.string().describe('The number of the tag, fifteen digits'),
    prefix: z.string().describe('First three digits'),
    nationalCode: z.string().describe('Last twelve digits'),
    prefixKind: z.enum(['country', 'manufacturer']).describe('What the prefix means'),
    prefixMeaning: z.string().describe('What the first three digits of the number mean, in words'),
    country: z.string().describe('Country, where it is one of those listed; otherwise null').nullable(),
  },
  run: (body) => {
    const { digits, prefix, nationalCode, prefixKind, prefixMeaning, country } = accepted(
      readTagNumber(body.tagNumber),
    );
    return { digits, prefix, nationalCode, prefixKind, prefixMeaning, country: country ?? null };
  },
});

export const GAIN_CALCULATIONS: readonly Calculation[] = [
  dailyGain,
  gainOver,
  daysFor,
  herdGainOf,
  costOfGainOf,
  rationCost,
  conversion,
  gainValue,
  breakEvenSaleOf,
  breakEvenPurchaseOf,
  adjusted205,
  shrink,
  tagNumber,
];
