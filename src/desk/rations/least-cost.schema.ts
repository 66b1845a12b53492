import { z } from 'zod';
import { figureText } from '../../core/units/decimal.js';
import { LAYER_BASES } from '../../core/laying/layer.js';
import { LEAST_COST_MINERALS } from '../../core/nutrients/nutrients.js';
import { COLD_METHODS, REQUIREMENT_EDITIONS } from '../../core/requirements/requirement-set.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, name, operationParams } from '../../platform/wire/common.schema.js';
import {
  currency,
  decimalIn,
  decimalOut,
  massIn,
  massInOrZero,
  massOut,
  massUnit,
  moneyOut,
  pricePerMassOut,
  unitsQuery,
  unitSystem,
} from '../../platform/wire/quantity.schema.js';
import { hayKind } from '../../records/hay/lots/hay-lot.schema.js';
import { cautionOut } from '../../records/kit/caution.schema.js';
import { dailyAmountOut, nutrientLineOut, rationJudgement, requirementNoteOut } from '../judge/judgement.schema.js';
import { SPAN_WEATHER } from './herd-span.read.js';
import { role } from './ration.schema.js';

const percent = (words: string) => z.number().min(0).max(100).describe(words);
const sellersAnalysis = z
  .strictObject({
    dryMatterPercent: z.number().gt(0).max(100).describe('Dry matter, % of the weight as fed'),
    crudeProteinPercent: z.number().min(0).max(40).describe('Crude protein, % of dry matter'),
    acidDetergentFiberPercent: z.number().gt(0).max(75).optional().describe('ADF, % of dry matter'),
    neutralDetergentFiberPercent: z.number().gt(0).max(95).optional().describe('NDF, % of dry matter'),
    totalDigestibleNutrientsPercent: z.number().gt(0).max(100).optional().describe('TDN, % of dry matter'),
    calciumPercent: z.number().min(0).max(5).optional().describe('Calcium, % of dry matter'),
    phosphorusPercent: z.number().min(0).max(2).optional().describe('Phosphorus, % of dry matter'),
  })
  .describe("What the seller's test says; book values of its kind stand in for what is left out");
const offers = z.union([
  z.literal('all-open').describe('Every offer on record that is open on the day'),
  z
    .array(
      z.strictObject({
        hayQuoteId: id,
        role: role.optional().describe('Role of the hay; left out, the usual one for its kind'),
        analysis: sellersAnalysis.optional(),
      }),
    )
    .max(50)
    .describe('Only the offers named here'),
]);
const quote = z.strictObject({
  name,
  hayKind,
  role: role.optional().describe('Role of the hay; left out, the usual one for its kind'),
  price: z
    .strictObject({
      amount: decimalIn.refine(
        (value) => figureText({ digits: 9, places: 4 }).test(value),
        'must be 0 or more, with at most four decimal places',
      ),
      per: massUnit,
    })
    .describe("Delivered price, in the operation's currency"),
  available: massIn.optional().describe('How much is on offer; no limit if left out'),
  baleWeight: massIn.optional().describe('Mean weight of a bale; left out, the hay is not counted in bales'),
  analysis: sellersAnalysis.optional(),
});

const judgement = rationJudgement.nullable();

export const leastCostRationFor = endpoint({
  method: 'POST',
  // No transaction stays open while the ration is searched for.
  transaction: 'own',
  inThread: 'always',
  path: '/v1/operations/:operationId/herds/:herdId/least-cost-ration',
  operationId: 'solveLeastCostRation',
  tag: 'Rations',
  access: 'desk',
  status: 200,
  summary: 'The cheapest ration over the lots on hand and hay on offer',
  description:
    'Only for those who see prices. Hay on offer can be the open offers on record, hay described in the ' +
    'request, or both. ' +
    'Shows what each demand costs and what price would bring an unused hay in, or which demands conflict. ' +
    'The demands are what the judge of rations asks: need, intake, fiber and degradable protein as predicted on the ' +
    'very mixture that is proposed, and the limits of the cautions. They are loosened only by the fields that ' +
    'say so. The need is the mean over the days that the hay has to last. ' +
    'Nothing is saved.',
  params: operationParams.extend({ herdId: id }),
  query: z.strictObject(unitsQuery),
  body: z.strictObject({
    on: day.optional().describe('Day of the ration; today at the ranch if left out'),
    days: z.number().int().min(1).max(366).describe('How long the hay has to last'),
    edition: z.enum(REQUIREMENT_EDITIONS).default('NRC2000').describe('Published requirement system'),
    coldMethod: z
      .enum(COLD_METHODS)
      .default('heat-balance')
      .describe("How the cost of cold is worked out where the day's weather is known"),
    proteinSystem: z
      .enum(['metabolizable', 'crude'])
      .default('metabolizable')
      .describe('Which protein must meet the need'),
    minerals: z
      .array(z.enum(LEAST_COST_MINERALS))
      .max(LEAST_COST_MINERALS.length)
      .default([])
      .describe('Minerals whose need the hay alone has to cover'),
    lots: z
      .array(
        z.strictObject({
          hayLotId: id,
          role: role.optional(),
          fixed: massIn
            .optional()
            .describe(
              'Fed in just this amount per head per day, as mineral and salt are; what is not known of it counts as ' +
                'none',
            ),
        }),
      )
      .max(100)
      .optional()
      .describe('Only these lots on hand, in these roles; every lot on hand if left out'),
    offers: offers.default([]).describe('Offers on record, at their delivered price'),
    quotes: z.array(quote).max(50).default([]).describe('Hay on offer that is not on record'),
    shares: z
      .strictObject({
        basis: z.enum(LAYER_BASES).describe('What the shares are shares of: volume, weight as fed or dry matter'),
        bands: z
          .array(
            z.strictObject({
              role,
              atLeastPercent: percent('Smallest share of the role, %').optional(),
              atMostPercent: percent('Largest share of the role, %').optional(),
            }),
          )
          .min(1)
          .max(6),
      })
      .optional()
      .describe('Smallest and largest shares of each role'),
    leastLaid: z
      .strictObject({
        forage: massInOrZero.optional().describe('Of a forage; 1 lb if left out'),
        other: massInOrZero.optional().describe('Of mineral, salt, grain or a supplement; 0.01 lb if left out'),
      })
      .optional()
      .describe(
        'Least of a feed that is laid at all, as fed per head per day: no feed stands in the ration with less. 0 ' +
          'allows any amount',
      ),
    intakeCapPercent: z.number().min(50).max(200).default(105).describe('Most dry matter, % of the predicted intake'),
    intakeFloorPercent: z
      .number()
      .min(0)
      .max(100)
      .optional()
      .describe(
        'Least dry matter, % of the predicted intake; if left out, 95 (of the most, where that is less). Ask for ' +
          'less only to limit-feed: needs can be met with so little of a rich feed that cattle stay hungry',
      ),
    wastedPercent: z
      .number()
      .min(0)
      .max(60)
      .optional()
      .describe(
        'Share of what is offered that is refused or wasted, %; if left out, what was measured in the last week of ' +
          'feeding, else none',
      ),
    weather: z
      .enum(SPAN_WEATHER)
      .optional()
      .describe(
        'known: the weather known on the first day; where the hay has to last longer than a week it counts for that ' +
          'day alone. usual: the mean of each month, where ten days of it or more are on record; where not, what ' +
          'stands in for it, as a note says. none: mild. Left out: known for a week or less, usual for more',
      ),
    allowUntested: z
      .boolean()
      .default(false)
      .describe(
        'true: hay of kinds that can accumulate nitrate is taken without a nitrate test. The cautions tell of it',
      ),
    nitrate: z
      .enum(['by-guide', 'told'])
      .default('by-guide')
      .describe(
        'by-guide: no hay that the nitrate guide keeps from these cattle, each hay within its share, and the whole ' +
          'ration safe for them; told: only the cautions tell of it',
      ),
    lotDangers: z
      .enum(['by-caution', 'told'])
      .default('by-caution')
      .describe(
        'by-caution: no hay that is under a danger caution by itself, such as moldy, hot or spoiled hay; told: such ' +
          'hay is taken too, and only the cautions tell of it',
      ),
    minDegradableProteinPercent: z
      .number()
      .min(0)
      .max(100)
      .default(100)
      .describe('Least degradable protein, % of what the microbes of the rumen need; 0 demands none'),
    maxLegumePercent: percent('Most legume, % of the dry matter; that of the bloat caution if left out').optional(),
    maxNitrateNitrogenPpm: z
      .number()
      .min(0)
      .max(20_000)
      .optional()
      .describe('Most NO3-N in the whole ration, ppm of dry matter; that of the nitrate guide if left out'),
    maxSulfurPercent: z
      .number()
      .min(0)
      .max(2)
      .optional()
      .describe('Most sulfur of hay and water together, % of dry matter; the maximum tolerable level if left out'),
    wholeBales: z
      .strictObject({
        everyDays: z.number().int().min(1).max(31).default(1).describe('Days that one feeding is laid for'),
      })
      .optional()
      .describe('Also gives the ration in whole bales, with what rounding costs and misses'),
    minCalciumToPhosphorus: z
      .number()
      .min(0)
      .max(10)
      .optional()
      .describe('Least ratio of calcium to phosphorus that is accepted; 1 if left out'),
    maxFiberPercentOfWeight: z
      .number()
      .min(0.5)
      .max(3)
      .optional()
      .describe('Most NDF per day, % of body weight; what the judge lets them hold if left out'),
  }),
  answer: z
    .object({
      herdId: id,
      herd: z.string().describe('Name of the herd'),
      onDay: day,
      head: z.number().int().describe('Head on the day'),
      days: z.number().int().describe('Days that the hay has to last'),
      units: unitSystem.describe('Units of this answer'),
      currency,
      status: z.enum(['solved', 'infeasible']).describe('Whether any ration meets every demand'),
      need: z
        .object({
          fromDay: day,
          untilDay: day,
          weather: z.enum(SPAN_WEATHER).describe('The weather that the need allows for'),
          perHead: z
            .object({
              dryMatterIntake: massOut.describe('Predicted dry matter intake per day'),
              netEnergyMaintenanceTotal: dailyAmountOut.describe(
                'NEm for maintenance with weather and activity, pregnancy and milk',
              ),
              netEnergyGain: dailyAmountOut,
              metabolizableProtein: dailyAmountOut,
              crudeProtein: dailyAmountOut,
            })
            .describe('Mean of the days, on the diet of the answer; where there is none, on the leanest that would do'),
          worstWeek: z
            .object({
              fromDay: day,
              untilDay: day,
              lines: z.array(nutrientLineOut).describe('What the ration supplies against the need of these days'),
            })
            .describe('The days in which most energy is needed; null where there is no ration')
            .nullable(),
          notes: z.array(requirementNoteOut),
        })
        .describe('What is asked of the ration: the mean need over the days that the hay has to last'),
      judgement: judgement.describe('The ration as the judge sees it, on the mean need; null where there is none'),
      cautions: z.array(cautionOut).describe('Worst first: of the ration; where there is none, of the water'),
      layers: z
        .array(
          z.object({
            role,
            parts: z.array(
              z.object({
                hayLotId: id.describe('Null for hay on offer').nullable(),
                hayQuoteId: id.describe('Id of the offer; null unless the hay is an offer on record').nullable(),
                name: z.string().describe('Name of the lot in the yard, or of the hay on offer'),
                perHead: massOut.describe('As fed, per head per day'),
                asFedSharePercent: z.number().describe('Share of the weight as fed, %'),
                forThePeriod: massOut.describe('Weight for all head over all days'),
              }),
            ),
          }),
        )
        .describe('Coarse at the bottom, then rich, then mixed'),
      perHead: massOut
        .describe('All layers together, as fed, per head per day; null where there is no ration')
        .nullable(),
      costPerHeadDay: moneyOut.nullable(),
      costForThePeriod: moneyOut.nullable(),
      shadowPrices: z
        .array(
          z.object({
            row: z.string().describe('Name of the demand; it stays the same between releases'),
            perUnit: z
              .object({ amount: decimalOut, currency })
              .describe('Change of the cost per head per day for one more unit'),
            unit: z.string().describe('Unit of the demand'),
            words: z.string().describe('The same in a sentence'),
          }),
        )
        .describe('What one more unit of each demand would cost'),
      unused: z
        .array(
          z.object({
            hayLotId: id.nullable(),
            hayQuoteId: id.nullable(),
            name: z.string().describe('Name of the lot in the yard, or of the hay on offer'),
            role,
            comesInAt: pricePerMassOut
              .describe('Price at which it would come in; null where no price would bring it in')
              .nullable(),
            words: z.string().describe('The same in a sentence'),
          }),
        )
        .describe('Hay that the cheapest ration leaves out'),
      wholeBales: z
        .object({
          everyDays: z.number().int().describe('Days that one feeding is laid for'),
          parts: z.array(
            z.object({
              hayLotId: id.nullable(),
              hayQuoteId: id.nullable(),
              name: z.string().describe('Name of the lot in the yard, or of the hay on offer'),
              role,
              bales: z
                .number()
                .int()
                .describe('Bales for the herd in one feeding; null where the lot is not counted in bales')
                .nullable(),
              perFeeding: massOut.describe('Weight for the herd in one feeding'),
              perHead: massOut.describe('As fed, per head per day'),
            }),
          ),
          costPerHeadDay: moneyOut.nullable(),
          costOfRounding: z
            .object({ perHeadDay: moneyOut, forThePeriod: moneyOut })
            .describe('Cost per head per day beyond the ration by weight; below zero where rounding misses a demand')
            .nullable(),
          missed: z
            .array(
              z.object({
                row: z.string().describe('Name of the demand; it stays the same between releases'),
                words: z.string().describe('The demand in words'),
                missesBy: z.number().describe('By how much the demand is missed, per head per day'),
                unit: z.string().describe('Unit of the demand'),
                percentOfDemand: z.number().describe('The same as % of what is demanded').nullable(),
              }),
            )
            .describe(
              'Demands that no number of whole bales can meet, as few and missed by as little as possible. Lot ' +
                'balances, ' +
                'nitrate, sulfur, salt, legume, grain, urea and fat are never loosened',
            ),
          words: z.array(z.string()).describe('The same in sentences, to be read out as they stand'),
          judgement: judgement.describe('The whole bales as the judge sees them; null where there is no such ration'),
          refusedBecause: z
            .string()
            .describe('Why there is no ration in whole bales; null where there is one')
            .nullable(),
        })
        .describe(
          'The ration in whole bales, solved as such and not rounded from the weights. Null where not asked for',
        )
        .nullable(),
      excluded: z
        .array(
          z.object({
            name: z.string().describe('Name of the lot in the yard, or of the hay on offer'),
            because: z
              .enum([
                'no-price',
                'composition-not-known',
                'legume-share-not-known',
                'density-not-known',
                'danger-caution',
                'nitrate-not-tested',
                'nitrate-above-guide',
                'urea-for-calves',
              ])
              .describe('Why the hay was not considered'),
            missing: z.array(z.string()).describe('Values of the hay that are not known'),
            words: z.string().describe('The same in a sentence'),
          }),
        )
        .describe('Hay that was not considered, and why'),
      conflict: z
        .array(
          z.object({
            row: z.string().describe('Name of the demand; it stays the same between releases'),
            words: z.string().describe('The demand in words'),
            missesBy: z
              .number()
              .describe('By how much it is missed if all others are met; null if even then there is no ration')
              .nullable(),
            unit: z.string().describe('Unit of the demand'),
          }),
        )
        .describe(
          'Demands in conflict with none to spare: without any one of them, the others can be met together. ' +
            'Empty where solved',
        ),
    })
    .meta({ id: 'LeastCostRation', description: 'The cheapest ration, or the demands that conflict' }),
});
