import { z } from 'zod';
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
  massOut,
  massUnit,
  moneyOut,
  pricePerMassOut,
  unitsQuery,
  unitSystem,
} from '../../platform/wire/quantity.schema.js';
import { hayKind } from '../../records/hay/lots/hay-lot.schema.js';
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
  .describe("What its seller's test says; book values of its kind if absent");
const offers = z.union([
  z.literal('all-open').describe('Every offer on record that can be taken on the day'),
  z
    .array(
      z.strictObject({
        hayQuoteId: id,
        role: role.optional().describe('The role its kind is usual in if absent'),
        analysis: sellersAnalysis.optional(),
      }),
    )
    .max(50)
    .describe('These offers on record'),
]);
const quote = z.strictObject({
  name,
  hayKind,
  role: role.optional().describe('The role its kind is usual in if absent'),
  price: z
    .strictObject({
      amount: decimalIn.refine(
        (value) => /^\d{1,9}(\.\d{1,4})?$/.test(value),
        'must be 0 or more, with at most four decimal places',
      ),
      per: massUnit,
    })
    .describe("Delivered, in the operation's currency"),
  available: massIn.optional().describe('How much is on offer; as much as wanted if absent'),
  baleWeight: massIn.optional().describe('Mean weight of a bale; not counted in bales if absent'),
  analysis: sellersAnalysis.optional(),
});

export const leastCostRationFor = endpoint({
  method: 'POST',
  transaction: 'read',
  path: '/v1/operations/:operationId/herds/:herdId/least-cost-ration',
  operationId: 'solveLeastCostRation',
  tag: 'Rations',
  access: 'desk',
  status: 200,
  summary: 'The cheapest ration over the lots on hand and hay on offer',
  description:
    'Needs sight of prices. Hay on offer is what stands on record as open offers, what is told here, or both. ' +
    'Answers what each requirement costs, what price would bring an unused hay in, or which demands conflict. ' +
    'Nothing is saved.',
  params: operationParams.extend({ herdId: id }),
  query: z.strictObject(unitsQuery),
  body: z.strictObject({
    on: day.optional().describe('The day; today at the ranch if absent'),
    days: z.number().int().min(1).max(366).describe('How long the hay has to last'),
    edition: z.enum(REQUIREMENT_EDITIONS).default('NRC2000').describe('Published requirement system'),
    coldMethod: z
      .enum(COLD_METHODS)
      .default('heat-balance')
      .describe('How cold is reckoned where a weather day is known'),
    proteinSystem: z
      .enum(['metabolizable', 'crude'])
      .default('metabolizable')
      .describe('Which protein is held to its need'),
    minerals: z
      .array(z.enum(LEAST_COST_MINERALS))
      .max(LEAST_COST_MINERALS.length)
      .default([])
      .describe('Minerals that the hay alone has to cover'),
    lots: z
      .array(z.strictObject({ hayLotId: id, role: role.optional() }))
      .max(100)
      .optional()
      .describe('Only these lots on hand, in these roles; every lot on hand if absent'),
    offers: offers.default([]).describe('Offers on record, at their delivered price'),
    quotes: z.array(quote).max(50).default([]).describe('Hay on offer that is not on record'),
    shares: z
      .strictObject({
        basis: z.enum(LAYER_BASES).describe('What the shares are shares of'),
        bands: z
          .array(
            z.strictObject({
              role,
              atLeastPercent: percent('Smallest share of the role').optional(),
              atMostPercent: percent('Largest share of the role').optional(),
            }),
          )
          .min(1)
          .max(6),
      })
      .optional()
      .describe('Bands for the shares of the layers'),
    intakeCapPercent: z.number().min(50).max(200).default(105).describe('Dry matter at most, of the predicted intake'),
    wastedPercent: z.number().min(0).max(60).default(0).describe('Share of what is offered that is not eaten'),
    maxLegumePercent: percent('Legume at most, of the dry matter').optional(),
    maxNitrateNitrogenPpm: z
      .number()
      .min(0)
      .max(20_000)
      .optional()
      .describe('NO3-N of the whole ration at most, ppm of dry matter'),
    maxSulfurPercent: z.number().min(0).max(2).optional().describe('Sulfur at most, % of dry matter'),
    wholeBales: z
      .strictObject({
        everyDays: z.number().int().min(1).max(31).default(1).describe('One feeding is laid for so many days'),
      })
      .optional()
      .describe('Answers the ration in whole bales as well, and what rounding costs and misses'),
    minCalciumToPhosphorus: z
      .number()
      .min(0)
      .max(10)
      .optional()
      .describe('Least ratio of calcium to phosphorus that is accepted'),
    maxFiberPercentOfWeight: z.number().min(0.5).max(3).optional().describe('NDF at most, % of body weight a day'),
  }),
  answer: z
    .object({
      herdId: id,
      herd: z.string().describe('Name of the herd'),
      onDay: day,
      head: z.number().int().describe('Head on that day'),
      days: z.number().int().describe('Days that the hay has to last'),
      units: unitSystem.describe('Units of this answer'),
      currency,
      status: z.enum(['solved', 'infeasible']).describe('Whether there is a ration that keeps every demand'),
      layers: z
        .array(
          z.object({
            role,
            parts: z.array(
              z.object({
                hayLotId: id.describe('Absent for hay on offer').nullable(),
                hayQuoteId: id.describe('The offer on record, where it is one').nullable(),
                name: z.string().describe('Name of the lot in the yard, or of the hay on offer'),
                perHead: massOut.describe('As fed, per head per day'),
                asFedSharePercent: z.number().describe('Of the weight as fed'),
                forThePeriod: massOut.describe('All head, all days'),
              }),
            ),
          }),
        )
        .describe('Coarse at the bottom, then rich, then mixed'),
      perHead: massOut.describe('As fed, all layers').nullable(),
      costPerHeadDay: moneyOut.nullable(),
      costForThePeriod: moneyOut.nullable(),
      shadowPrices: z
        .array(
          z.object({
            row: z.string().describe('Stable name of the demand'),
            perUnit: z
              .object({ amount: decimalOut, currency })
              .describe('Change of the cost per head per day for one more unit'),
            unit: z.string().describe('Unit of the demand'),
            words: z.string().describe('The same in a sentence'),
          }),
        )
        .describe('What one more of each demand would cost'),
      unused: z
        .array(
          z.object({
            hayLotId: id.nullable(),
            hayQuoteId: id.nullable(),
            name: z.string().describe('Name of the lot in the yard, or of the hay on offer'),
            role,
            comesInAt: pricePerMassOut.describe('Price at which it would come in').nullable(),
            words: z.string().describe('The same in a sentence'),
          }),
        )
        .describe('Hays that the cheapest ration leaves out'),
      wholeBales: z
        .object({
          everyDays: z.number().int().describe('One feeding is laid for so many days'),
          parts: z.array(
            z.object({
              hayLotId: id.nullable(),
              hayQuoteId: id.nullable(),
              name: z.string().describe('Name of the lot in the yard, or of the hay on offer'),
              role,
              bales: z
                .number()
                .int()
                .describe('For the herd in one feeding; absent where the lot is not counted in bales')
                .nullable(),
              perFeeding: massOut.describe('The herd, one feeding'),
              perHead: massOut.describe('As fed, per head per day'),
            }),
          ),
          costPerHeadDay: moneyOut.nullable(),
          costOfRounding: z
            .object({ perHeadDay: moneyOut, forThePeriod: moneyOut })
            .describe('Against the ration in weights; below zero where a need is missed for it')
            .nullable(),
          missed: z
            .array(
              z.object({
                row: z.string().describe('Stable name of the demand'),
                words: z.string().describe('The demand in words'),
                missesBy: z.number().describe('By how much the demand is missed, per head per day'),
                unit: z.string().describe('Unit of the demand'),
                percentOfDemand: z.number().describe('The same as a share of what is demanded').nullable(),
              }),
            )
            .describe(
              'Demands that no number of whole bales keeps; as few and as small as can be. Balances of lots, ' +
                'nitrate, sulfur and legume are never loosened',
            ),
          words: z.array(z.string()).describe('The same in sentences, to be read out as they stand'),
          refusedBecause: z.string().describe('Why there is none').nullable(),
        })
        .describe(
          'The ration in whole bales: whole numbers by the solver, not the weights rounded. Absent where not asked for',
        )
        .nullable(),
      excluded: z
        .array(
          z.object({
            name: z.string().describe('Name of the hay lot'),
            because: z
              .enum(['no-price', 'composition-not-known', 'legume-share-not-known', 'density-not-known'])
              .describe('Why the row binds or is missed, in words'),
            missing: z.array(z.string()).describe('Values that are not known'),
          }),
        )
        .describe('Hay that could not be counted, and why'),
      conflict: z
        .array(
          z.object({
            row: z.string().describe('Stable name of the demand'),
            words: z.string().describe('The demand in words'),
            missesBy: z.number().describe('How far it is missed if all others are kept').nullable(),
            unit: z.string().describe('Unit of the demand'),
          }),
        )
        .describe('Demands of which none can be dropped and the rest still conflict; empty where solved'),
    })
    .meta({ id: 'LeastCostRation', description: 'The cheapest ration, or the demands that conflict' }),
});
