import { z } from 'zod';
import { figureText } from '../../core/units/decimal.js';
import { ACCOUNT_ROLES, type AccountRole } from '../../core/stock/accounts.data.js';
import { loadWeight, scaleTicketNet, weighedBaleStatistics } from '../../core/stock/bale-weighing.js';
import { COSTING_METHODS, type CostingEntry } from '../../core/stock/costing-entries.js';
import { COSTING_NOTES, replayCosts } from '../../core/stock/costing-replay.js';
import { farmPriceValue } from '../../core/stock/farm-price.js';
import { FEEDING_WASTES, type FeedingWasteCode } from '../../core/stock/feeding-waste.data.js';
import { journalOf, STARTING_ACCOUNTS, trialBalance } from '../../core/stock/journal.js';
import { landedCost } from '../../core/stock/landed-cost.js';
import {
  feedingWaste,
  type LossFigure,
  lossUntil,
  measuredWaste,
  type OwnMeasurement,
  priceWithWaste,
  seasonWaste,
  storageLoss,
  valueLost,
} from '../../core/stock/losses.js';
import { isRefusal, type Refusal } from '../../core/outcome/outcome.js';
import { STORAGE_LOSSES, STORAGE_SEASON_DAYS, type StorageLossCode } from '../../core/stock/storage-loss.data.js';
import { type Mass, type MassUnit } from '../../core/units/mass.js';
import { Money, type PricePerMass } from '../../core/units/money.js';
import { problemOfCore } from '../../platform/http/core-problems.js';
import { day, reason } from '../../platform/wire/common.schema.js';
import { amountIn, currency, massInOrZero, massUnit, toMass } from '../../platform/wire/quantity.schema.js';
import { type Calculation, calculation, type Source } from './calculation.js';
import {
  accepted,
  lossPercent,
  massIn,
  massOut,
  moneyIn,
  moneyOut,
  percentOf,
  present,
  priceIn,
  pricePerMassOut,
  share,
  tidy,
  toMoney,
  toPrice,
  warnings,
  formatMass,
  formatMoney,
  formatPrice,
} from './quantities.js';

const COCHRAN: Source = {
  formula: 'bales × mean, t interval for the mean with finite-population correction',
  author: 'Cochran',
  year: 1977,
  where: 'Sampling Techniques, 3rd ed., sections 2.5 to 2.8',
};
const baleCount = z.number().int().min(1).max(100_000);

const landedCostOfHay = calculation({
  name: 'landed-cost',
  family: 'stock and money',
  summary: 'What a purchase of hay costs in the yard',
  source: [
    {
      formula: '(price + freight + charges) ÷ weight received',
      author: 'IFRS Foundation',
      year: null,
      where: 'IAS 2 Inventories, paragraphs 10 and 11',
    },
  ],
  body: z.strictObject({
    price: z.discriminatedUnion('basis', [
      priceIn.extend({ basis: z.literal('per-mass').describe('Price per unit of mass') }),
      moneyIn.extend({ basis: z.literal('per-bale').describe('Price per bale') }),
      moneyIn.extend({ basis: z.literal('lump-sum').describe('One price for the whole load') }),
    ]),
    weightReceived: massIn,
    bales: baleCount.optional().describe('How many bales were received'),
    freight: moneyIn.optional().describe('Freight of the load'),
    charges: moneyIn.optional().describe('Charges besides the price and the freight'),
  }),
  answer: {
    hay: moneyOut,
    freight: moneyOut,
    charges: moneyOut,
    total: moneyOut,
    perMass: pricePerMassOut,
    perBale: moneyOut.nullable(),
  },
  run: ({ price, weightReceived, bales, freight, charges }) => {
    const answer = accepted(
      landedCost({
        price:
          price.basis === 'per-mass'
            ? { basis: price.basis, price: toPrice(price) }
            : { basis: price.basis, price: toMoney(price) },
        weightReceived: toMass(weightReceived),
        currency: price.currency,
        ...present({ bales, freight: freight && toMoney(freight), charges: charges && toMoney(charges) }),
      }),
      {
        weightReceived: 'weightReceived/value',
        freight: 'freight/amount',
        charges: 'charges/amount',
        price: 'price/amount',
      },
    );
    return {
      hay: formatMoney(answer.hay),
      freight: formatMoney(answer.freight),
      charges: formatMoney(answer.charges),
      total: formatMoney(answer.total),
      perMass: formatPrice(answer.perMass, price.basis === 'per-mass' ? price.per : weightReceived.unit),
      perBale: answer.perBale === undefined ? null : formatMoney(answer.perBale),
    };
  },
});

const loadWeightOfBales = calculation({
  name: 'load-weight',
  family: 'stock and money',
  summary: 'Weight of a load from a sample of weighed bales, with its interval',
  description: 'Give the weights themselves, or their number, mean and standard deviation.',
  source: [COCHRAN],
  body: z.strictObject({
    bales: baleCount.describe('Number of bales in the load'),
    weighed: z.union([
      z.strictObject({ weights: z.array(massIn).min(2).max(2000).describe('Weight of each weighed bale') }),
      z.strictObject({
        count: z.number().int().min(2).max(100_000).describe('How many bales were weighed'),
        mean: massIn,
        standardDeviation: massInOrZero,
      }),
    ]),
    confidencePercent: z.number().gt(0).lt(100).default(95).describe('Confidence of the interval, %'),
    wantedPrecisionPercent: z
      .number()
      .gt(0)
      .lt(100)
      .default(5)
      .describe('Precision wanted: half the interval, % of the total'),
  }),
  answer: {
    total: massOut,
    low: massOut,
    high: massOut,
    mean: massOut,
    standardDeviation: massOut,
    baleCountWeighed: z.number().int().describe('How many bales were weighed'),
    confidencePercent: z.number().describe('Confidence of the interval, %'),
    precisionPercent: z.number().describe('Precision reached: half the interval, % of the total'),
    balesToWeigh: z.number().int().describe('Bales to weigh for the precision wanted, at this spread'),
    warnings,
  },
  run: ({ bales, weighed, confidencePercent, wantedPrecisionPercent }) => {
    const unit = 'weights' in weighed ? (weighed.weights[0]?.unit ?? 'kg') : weighed.mean.unit;
    const seen =
      'weights' in weighed
        ? accepted(weighedBaleStatistics(weighed.weights.map(toMass)), { weights: 'weighed/weights' })
        : { weighed: weighed.count, mean: toMass(weighed.mean), standardDeviation: toMass(weighed.standardDeviation) };
    const { weighed: count, mean, standardDeviation } = seen;
    const answer = accepted(
      loadWeight({
        bales,
        weighed: count,
        mean,
        standardDeviation,
        confidence: confidencePercent / 100,
        wantedRelativeHalfWidth: wantedPrecisionPercent / 100,
      }),
      {
        weighed: 'weights' in weighed ? 'weighed/weights' : 'weighed/count',
        mean: 'weighed/mean/value',
        standardDeviation: 'weighed/standardDeviation/value',
      },
    );
    return {
      total: formatMass(answer.total, unit),
      low: formatMass(answer.low, unit),
      high: formatMass(answer.high, unit),
      mean: formatMass(mean, unit),
      standardDeviation: formatMass(standardDeviation, unit),
      baleCountWeighed: count,
      confidencePercent,
      precisionPercent: tidy(100 * answer.relativeHalfWidth),
      balesToWeigh: answer.balesToWeigh,
      warnings: answer.warnings.map(({ code, message }) => ({ code, message, source: 'Cochran 1977' })),
    };
  },
});

const scaleTicket = calculation({
  name: 'scale-ticket',
  family: 'stock and money',
  summary: 'Net weight of a scale ticket',
  source: [
    {
      formula: 'net = gross − tare',
      author: 'National Institute of Standards and Technology',
      year: null,
      where: 'Handbook 44, definitions',
    },
  ],
  body: z.strictObject({ gross: massIn, tare: massInOrZero }),
  answer: { net: massOut },
  run: ({ gross, tare }) => ({
    net: formatMass(
      accepted(
        scaleTicketNet({ gross: toMass(gross), tare: toMass(tare), typed: { gross: gross.unit, tare: tare.unit } }),
        { tare: 'tare/value' },
      ).net,
      gross.unit,
    ),
  }),
});

const ownFigure = z
  .strictObject({
    percent: lossPercent('The loss as measured'),
    how: reason.describe('How it was measured; given as the source'),
  })
  .describe("The ranch's own measurement, instead of a published figure");
const toOwn = (own: z.output<typeof ownFigure> | undefined): OwnMeasurement | undefined =>
  own === undefined ? undefined : { share: share(own.percent), how: own.how };
const figuresOut = {
  lowPercent: z.number().describe('Low end of the range, %'),
  typicalPercent: z.number().describe('Middle of the printed range, %'),
  highPercent: z.number().describe('High end of the range, %'),
  restsOn: z.enum(['published', 'own measurement']).describe('What the figure rests on'),
  figureSource: z.string().describe('Where the figure comes from'),
};
const formatFigures = (loss: LossFigure) => ({
  lowPercent: percentOf(loss.low),
  typicalPercent: percentOf(loss.typical),
  highPercent: percentOf(loss.high),
  restsOn: loss.basis,
  figureSource: loss.source,
});
function orRefuse(figure: LossFigure | Refusal): LossFigure {
  if (isRefusal(figure)) throw problemOfCore(figure.problems, () => '#/own/percent');
  return figure;
}
// The ranch's own measurement replaces whichever published row is named.
const ANY_STORAGE: StorageLossCode = STORAGE_LOSSES[0].code;
const ANY_FEEDING: FeedingWasteCode = FEEDING_WASTES[0].code;

const PUBLISHED_LOSSES: Source = {
  formula: 'Published losses of dry matter by storage method',
  author: 'State universities and trials',
  year: null,
  where: 'each row names its own',
};
const codesOf = <Code extends string>(rows: readonly { readonly code: Code }[]) =>
  rows.map((row) => row.code) as [Code, ...Code[]];

const storageLosses = calculation({
  name: 'storage-losses',
  family: 'stock and money',
  summary: 'Published storage losses, each with its source',
  source: [PUBLISHED_LOSSES],
  answer: {
    items: z.array(
      z.object({
        code: z.string().describe('Code to name in a request'),
        cover: z.string().describe('How the stack is covered'),
        base: z.string().describe('What the hay is stacked on'),
        wrap: z.string().describe('How the bales are wrapped'),
        hay: z.string().describe('Hay that the figure was measured on'),
        months: z
          .object({
            from: z.number().describe('Shortest time in storage, months'),
            to: z.number().describe('Longest time in storage, months'),
          })
          .describe('How long the hay was stored; null where the source does not say')
          .nullable(),
        ...figuresOut,
      }),
    ),
  },
  run: () => ({
    items: STORAGE_LOSSES.map(({ code, cover, base, wrap, hay, months }) => ({
      code,
      cover,
      base,
      wrap,
      hay,
      months: months === null ? null : { from: months.from, to: months.to },
      ...formatFigures(orRefuse(storageLoss(code))),
    })),
  }),
});

const storageLossOf = calculation({
  name: 'storage-loss',
  family: 'stock and money',
  summary: 'What a stack loses in storage, by a day of use and in money',
  source: [
    PUBLISHED_LOSSES,
    {
      formula: 'value lost = price × loss',
      author: 'Huhnke, Oklahoma State University',
      year: null,
      where: 'round bale storage',
    },
    {
      formula: `even growth to the season's loss over ${STORAGE_SEASON_DAYS} days`,
      author: 'common practice, no source',
      year: null,
      where: 'common practice',
    },
  ],
  body: z
    .strictObject({
      code: z.enum(codesOf(STORAGE_LOSSES)).optional().describe('Code of a row of storage-losses'),
      own: ownFigure.optional(),
      storedOn: day.optional(),
      usedOn: day.optional(),
      price: priceIn.optional(),
      weight: massIn.optional().describe('Weight put in storage'),
    })
    .refine((body) => (body.code === undefined) !== (body.own === undefined), {
      path: ['code'],
      message: 'Give a code or an own measurement',
    })
    .refine((body) => (body.storedOn === undefined) === (body.usedOn === undefined), {
      path: ['usedOn'],
      message: 'goes with storedOn',
    })
    .refine((body) => body.storedOn === undefined || body.usedOn === undefined || body.usedOn >= body.storedOn, {
      path: ['usedOn'],
      message: 'must not be before storedOn',
    }),
  answer: {
    ...figuresOut,
    toDayOfUsePercent: z.number().describe('Lost by the day of use, %; over the whole season if no days are given'),
    lost: massOut.nullable(),
    left: massOut.nullable(),
    valueLostPerUnit: pricePerMassOut
      .describe('Money lost per unit put in storage; null if no price was given')
      .nullable(),
  },
  run: ({ code, own, storedOn, usedOn, price, weight }) => {
    const loss = orRefuse(storageLoss(code ?? ANY_STORAGE, toOwn(own)));
    const toDay =
      storedOn === undefined || usedOn === undefined
        ? loss.typical
        : lossUntil({ seasonLoss: loss.typical, storedOn, usedOn });
    const lost = weight === undefined ? null : toMass(weight).times(toDay);
    return {
      ...formatFigures(loss),
      toDayOfUsePercent: percentOf(toDay),
      lost: lost === null || weight === undefined ? null : formatMass(lost, weight.unit),
      left: lost === null || weight === undefined ? null : formatMass(toMass(weight).minus(lost), weight.unit),
      valueLostPerUnit:
        price === undefined
          ? null
          : {
              amount: formatMoney(valueLost({ price: Money.of(price.amount, price.currency), share: toDay })).amount,
              currency: price.currency,
              per: price.per,
            },
    };
  },
});

const feedingWastes = calculation({
  name: 'feeding-wastes',
  family: 'stock and money',
  summary: 'Published feeding waste by method, each with its source',
  source: [
    { formula: 'Published feeding waste', author: 'State universities', year: null, where: 'each row names its own' },
  ],
  answer: {
    items: z.array(
      z.object({
        code: z.string().describe('Code to name in a request'),
        method: z.string().describe('How the hay is fed, which decides how much is wasted'),
        hay: z.string().describe('Hay that the figure was measured on'),
        ...figuresOut,
      }),
    ),
  },
  run: () => ({
    items: FEEDING_WASTES.map(({ code, method, hay }) => ({
      code,
      method,
      hay,
      ...formatFigures(orRefuse(feedingWaste(code))),
    })),
  }),
});

const wasteSource = z.discriminatedUnion('from', [
  z.strictObject({
    from: z.literal('published'),
    code: z.enum(codesOf(FEEDING_WASTES)).describe('Code of a row of feeding-wastes'),
  }),
  z.strictObject({
    from: z.literal('own'),
    percent: lossPercent('Waste as measured'),
    how: reason.describe('How it was measured'),
  }),
  z.strictObject({
    from: z.literal('weighed'),
    disappeared: massIn.describe('Eaten and wasted together'),
    wasted: massInOrZero.describe('Hay wasted, as fed'),
  }),
]);
const feedingWasteOf = calculation({
  name: 'feeding-waste',
  family: 'stock and money',
  summary: 'Feeding waste, and what it does to the price of hay',
  source: [
    {
      formula: 'waste = wasted ÷ disappeared',
      author: 'Buskirk et al., Michigan State University',
      year: 2003,
      where: 'J. Anim. Sci. 81:109-115',
    },
    {
      formula: 'price + price × waste as printed, price ÷ (1 − waste) for hay eaten',
      author: 'Hobbs, University of Missouri Extension',
      year: 2011,
      where: 'cost of waste',
    },
  ],
  body: z.strictObject({
    waste: wasteSource,
    pricePerBale: moneyIn.optional(),
    baleWeight: massIn.optional(),
    bales: z.number().int().min(0).max(1e6).optional().describe('Bales fed in the season'),
  }),
  answer: {
    ...figuresOut,
    wastedPerBale: massOut.nullable(),
    seasonCost: moneyOut.describe('Money wasted over the season; null if no bales or no price were given').nullable(),
    lossPerBale: moneyOut.nullable(),
    pricePerBaleWithLoss: moneyOut
      .describe('Price plus loss, as some guides print it; null if no price was given')
      .nullable(),
    pricePerBaleEaten: moneyOut.describe('What an eaten bale truly costs; null if no price was given').nullable(),
  },
  run: ({ waste, pricePerBale, baleWeight, bales }) => {
    const own =
      waste.from === 'weighed'
        ? {
            share: measuredWaste({ disappeared: toMass(waste.disappeared), wasted: toMass(waste.wasted) }),
            how: 'weighed',
          }
        : waste.from === 'own'
          ? { share: share(waste.percent), how: waste.how }
          : undefined;
    const figure = feedingWaste(waste.from === 'published' ? waste.code : ANY_FEEDING, own);
    if (isRefusal(figure)) throw problemOfCore(figure.problems, () => '#/waste/wasted/value');
    const priced =
      pricePerBale === undefined ? null : priceWithWaste({ price: toMoney(pricePerBale), waste: figure.typical });
    const season =
      baleWeight === undefined
        ? null
        : seasonWaste({
            waste: figure.typical,
            baleWeight: toMass(baleWeight),
            bales: bales ?? 0,
            pricePerBale: pricePerBale === undefined ? Money.zero('USD') : toMoney(pricePerBale),
          });
    return {
      ...formatFigures(figure),
      wastedPerBale:
        season === null || baleWeight === undefined ? null : formatMass(season.massPerBale, baleWeight.unit),
      seasonCost:
        season === null || pricePerBale === undefined || bales === undefined ? null : formatMoney(season.cost),
      lossPerBale: priced === null ? null : formatMoney(priced.loss),
      pricePerBaleWithLoss: priced === null ? null : formatMoney(priced.perBought),
      pricePerBaleEaten: priced === null ? null : formatMoney(priced.perEaten),
    };
  },
});

const farmPrice = calculation({
  name: 'farm-price-value',
  family: 'stock and money',
  summary: 'Farm-price value of hay on hand',
  description: 'A valuation beside the cost books, never posted to them; ask the accountant whether it may be used.',
  source: [
    {
      formula: 'market price less direct cost of disposition',
      author: 'United States Treasury',
      year: null,
      where: '26 CFR 1.471-6(d)',
    },
  ],
  body: z.strictObject({ onHand: massIn, marketPrice: priceIn, costOfDisposition: priceIn }),
  answer: { grossValue: moneyOut, disposition: moneyOut, value: moneyOut },
  run: (body) => {
    const answer = farmPriceValue({
      onHand: toMass(body.onHand),
      marketPrice: toPrice(body.marketPrice),
      costOfDisposition: toPrice(body.costOfDisposition),
    });
    return {
      grossValue: formatMoney(answer.grossValue),
      disposition: formatMoney(answer.disposition),
      value: formatMoney(answer.value),
    };
  },
});

// A small history under one or all costing methods.

const key = z.string().trim().min(1).max(60);
const head = { id: key.describe('Id of the entry, unique in the history'), on: day };
const where = {
  lotId: key.describe('Lot of the entry, by the id given in the request'),
  placeId: key.default('yard').describe('Place of the hay, by the id given in the request'),
};
const positiveAmount = amountIn
  .refine((value) => !value.startsWith('-'), 'must be 0 or more')
  .describe('Amount in the currency of the history');
const treatment = z
  .enum(['into-unit-cost', 'expense'])
  .describe('Normal: the unit cost of the rest changes. Abnormal: the money is expensed');
const signedMass = z.strictObject({
  value: z
    .union([
      z.string().regex(figureText({ digits: 12, places: 12, signed: true, leadingZeros: false })),
      z.number().min(-1e9).max(1e9),
    ])
    .transform(String)
    .describe('Counted less booked; below zero if hay is missing'),
  unit: massUnit,
});
const entryIn = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('purchase'),
    ...head,
    ...where,
    hayKind: key.describe('Kind of hay, by its code'),
    mass: massIn,
    cost: positiveAmount,
    freight: positiveAmount.optional(),
  }),
  z.strictObject({
    kind: z.literal('harvest'),
    ...head,
    ...where,
    hayKind: key.describe('Kind of hay, by its code'),
    mass: massIn,
    cost: positiveAmount.describe('Cost of production'),
  }),
  z.strictObject({
    kind: z.literal('late-cost'),
    ...head,
    receiptId: key.describe('Id of the purchase or harvest that the bill belongs to'),
    amount: amountIn.describe('Amount of the bill; below zero for a credit'),
    owed: z.enum(['freight', 'charges']).describe('What the bill is for: freight or other charges'),
  }),
  z.strictObject({
    kind: z.literal('feed'),
    ...head,
    ...where,
    herdId: key.describe('Herd that ate the hay, by the id given in the request'),
    mass: massIn,
  }),
  z.strictObject({ kind: z.literal('sale'), ...head, ...where, mass: massIn, proceeds: positiveAmount.optional() }),
  z.strictObject({ kind: z.literal('shrink'), ...head, ...where, mass: massIn, treatment }),
  z.strictObject({ kind: z.literal('count-adjustment'), ...head, ...where, change: signedMass, treatment }),
  z.strictObject({
    kind: z.literal('transfer'),
    ...head,
    fromLotId: key.describe('Lot that the hay left, by the id given in the request'),
    fromPlaceId: key.default('yard').describe('Place that the hay left, by the id given in the request'),
    toLotId: key.describe('Lot that the hay went into, by the id given in the request'),
    toPlaceId: key.default('yard').describe('Place that the hay went to, by the id given in the request'),
    mass: massIn,
  }),
  z.strictObject({
    kind: z.literal('reversal'),
    ...head,
    reverses: key.describe('Id of the entry that it reverses'),
    reason,
  }),
]);
type EntryIn = z.output<typeof entryIn>;
type Code = z.output<typeof currency>;

function toEntry(entry: EntryIn, code: Code): CostingEntry {
  const money = (amount: string) => Money.of(amount, code);
  switch (entry.kind) {
    case 'purchase': {
      const { freight, ...rest } = entry;
      return {
        ...rest,
        mass: toMass(entry.mass),
        cost: money(entry.cost),
        ...present({ freight: freight === undefined ? undefined : money(freight) }),
      };
    }
    case 'harvest':
      return { ...entry, mass: toMass(entry.mass), cost: money(entry.cost) };
    case 'late-cost':
      return { ...entry, amount: money(entry.amount) };
    case 'sale': {
      const { proceeds, ...rest } = entry;
      return {
        ...rest,
        mass: toMass(entry.mass),
        ...present({ proceeds: proceeds === undefined ? undefined : money(proceeds) }),
      };
    }
    case 'count-adjustment':
      return { ...entry, change: toMass(entry.change) };
    case 'reversal':
      return entry;
    case 'feed':
    case 'shrink':
    case 'transfer':
      return { ...entry, mass: toMass(entry.mass) };
  }
}

const journalLine = z.object({
  account: z.string().describe('What the account is for'),
  accountNumber: z.string().describe('Number of the account that an operation starts with'),
  accountName: z.string().describe('Name of the account that an operation starts with'),
  debit: moneyOut,
  credit: moneyOut,
});
const replayOut = z
  .object({
    method: z.enum(COSTING_METHODS).describe('How hay that leaves the yard is valued'),
    entries: z.array(
      z.object({
        id: z.string().describe('Id of the entry, as given in the request'),
        kind: z.string().describe('Kind of the movement'),
        massChange: massOut,
        inventoryChange: moneyOut,
        unitCost: pricePerMassOut.nullable(),
        drawnFrom: z.array(
          z.object({
            from: z.string().describe('Balance or layer that it was drawn from'),
            mass: massOut,
            cost: moneyOut,
          }),
        ),
        notes: z.array(z.string()).describe('Notes on results that may surprise'),
      }),
    ),
    closing: z.object({
      mass: massOut,
      value: moneyOut,
      lots: z.array(
        z.object({
          lotId: z.string().describe('The lot, by the id given in the request'),
          hayKind: z.string().describe('Kind of hay, by its code'),
          mass: massOut,
          value: moneyOut,
        }),
      ),
    }),
    feedByHerd: z.array(
      z.object({
        herdId: z.string().describe('Herd that ate the hay, by the id given in the request'),
        mass: massOut,
        cost: moneyOut,
      }),
    ),
    variances: z.array(
      z.object({
        entryId: z.string().describe('Id of the entry that caused it'),
        cause: z.string().describe('Whether a late bill or a reversal caused it'),
        amount: moneyOut,
      }),
    ),
    journal: z
      .array(
        z.object({
          entryId: z.string().describe('Entry of the ledger, by the id given in the request'),
          on: day,
          lines: z.array(journalLine),
        }),
      )
      .describe('Balanced double entries'),
    trialBalance: z.object({
      rows: z.array(
        z.object({
          accountNumber: z.string().describe('Number of the account'),
          accountName: z.string().describe('Name of the account'),
          debit: moneyOut,
          credit: moneyOut,
        }),
      ),
      totalDebit: moneyOut,
      totalCredit: moneyOut,
    }),
  })
  .meta({ id: 'CalculatedCostingReplay', description: 'A hay history under one costing method' });

const costingReplay = calculation({
  name: 'costing-replay',
  heavy: true,
  family: 'stock and money',
  summary: 'A small hay history under the costing methods, side by side',
  description:
    'Entries in the order in which they count; opening + in − out = closing, in quantity and money to the cent, ' +
    'under each method.',
  source: [
    {
      formula: 'specific identification, moving weighted average, first in first out',
      author: 'IFRS Foundation',
      year: null,
      where: 'IAS 2 Inventories, paragraphs 23 to 27',
    },
  ],
  body: z.strictObject({
    currency: currency.default('USD'),
    unit: massUnit.default('ton'),
    methods: z
      .array(z.enum(COSTING_METHODS))
      .min(1)
      .max(3)
      .default([...COSTING_METHODS])
      .describe('Which methods to use; all if left out'),
    entries: z.array(entryIn).min(1).max(500),
  }),
  answer: { methods: z.array(replayOut) },
  run: ({ currency: code, unit, methods, entries }) => {
    const history = entries.map((entry) => toEntry(entry, code));
    return {
      methods: [...new Set(methods)].map((method) =>
        replayAnswer(accepted(replayCosts({ method, currency: code, entries: history })), unit),
      ),
    };
  },
});

function replayAnswer(
  replay: Extract<ReturnType<typeof replayCosts>, { ok: true }>,
  unit: MassUnit,
): z.input<typeof replayOut> {
  const mass = (value: Mass) => formatMass(value, unit);
  const price = (value: PricePerMass | undefined) => (value === undefined ? null : formatPrice(value, unit));
  const journal = journalOf(replay, STARTING_ACCOUNTS);
  const balance = trialBalance(journal, replay.currency);
  const accountOf = (role: AccountRole) => ({
    account: role,
    accountNumber: ACCOUNT_ROLES[role].number,
    accountName: ACCOUNT_ROLES[role].name,
  });
  return {
    method: replay.method,
    entries: replay.entries.map((entry) => ({
      id: entry.entryId,
      kind: entry.kind,
      massChange: mass(entry.massChange),
      inventoryChange: formatMoney(entry.inventoryChange),
      unitCost: price(entry.unitCost),
      drawnFrom: entry.drawnFrom.map((one) => ({ from: one.from, mass: mass(one.mass), cost: formatMoney(one.cost) })),
      notes: entry.notes.map((note) => COSTING_NOTES[note]),
    })),
    closing: {
      mass: mass(replay.closingMass),
      value: formatMoney(replay.closingValue),
      lots: replay.lots.map((lot) => ({
        lotId: lot.lotId,
        hayKind: lot.hayKind,
        mass: mass(lot.mass),
        value: formatMoney(lot.value),
      })),
    },
    feedByHerd: replay.feedByHerd.map((row) => ({
      herdId: row.herdId,
      mass: mass(row.mass),
      cost: formatMoney(row.cost),
    })),
    variances: replay.variances.map((row) => ({
      entryId: row.entryId,
      cause: row.cause,
      amount: formatMoney(row.amount),
    })),
    journal: journal.map((entry) => ({
      entryId: entry.entryId,
      on: entry.on,
      lines: entry.lines.map((line) => ({
        ...accountOf(line.account),
        debit: formatMoney(line.debit),
        credit: formatMoney(line.credit),
      })),
    })),
    trialBalance: {
      rows: balance.rows.map((row) => ({
        accountNumber: row.accountNumber,
        accountName: row.accountName,
        debit: formatMoney(row.debit),
        credit: formatMoney(row.credit),
      })),
      totalDebit: formatMoney(balance.totalDebit),
      totalCredit: formatMoney(balance.totalCredit),
    },
  };
}

export const STOCK_CALCULATIONS: readonly Calculation[] = [
  landedCostOfHay,
  scaleTicket,
  loadWeightOfBales,
  storageLosses,
  storageLossOf,
  feedingWastes,
  feedingWasteOf,
  farmPrice,
  costingReplay,
];
