import { z } from 'zod';
import { JUDGED_NUTRIENTS } from '../../core/nutrients/nutrients.js';
import { massOut, moneyOut } from '../../platform/wire/quantity.schema.js';
import { cautionOut } from '../../records/kit/caution.schema.js';

export const nutrientLineOut = z
  .object({
    nutrient: z.enum(JUDGED_NUTRIENTS).describe('Nutrient, energy or limit that is judged'),
    unit: z.enum(['kg/d', 'lb/d', 'g/d', 'Mcal/d']).describe('Unit of every figure of the line, per head per day'),
    supply: z.number().describe('What the ration supplies; null where it is not known').nullable(),
    need: z.number().describe('What the animal needs; null where it has no such need or it is not known').nullable(),
    atMost: z
      .number()
      .describe('Above this it is `excess`: harmful, or more than will be eaten; null where no limit is known')
      .nullable(),
    surplus: z.number().describe('Supply less need; null where either is not known').nullable(),
    surplusPercent: z
      .number()
      .describe('Supply less need, % of the need; null where there is no need or it is not known')
      .nullable(),
    verdict: z
      .enum(['short', 'near', 'meets', 'excess', 'no-need', 'unknown'])
      .describe('How the supply stands against the requirement'),
    unknownBecause: z.string().describe('Why a figure is missing; null where none is').nullable(),
    restsOnBookValues: z.boolean().describe('True if book values went in, not only tests'),
  })
  .meta({ id: 'NutrientLine', description: 'One nutrient: supply against need' });

/** What a ration comes to, wherever one is judged: the present one, a draft, or one in use. */
export const judgementShape = {
  lines: z.array(nutrientLineOut),
  expectedDailyGain: massOut
    .describe(
      'Growing cattle: the smaller of the gains that energy and protein allow; null where there is none to predict',
    )
    .nullable(),
  gainRuledBy: z.string().describe('What limits the gain; null where no gain is predicted').nullable(),
  daysToOneConditionScore: z
    .number()
    .describe('Cows: days to gain or lose one condition score; null where it does not apply')
    .nullable(),
  conditionDirection: z
    .enum(['gain', 'loss', 'steady'])
    .describe('Which way body condition is going; null where it does not apply')
    .nullable(),
  costPerHeadDay: moneyOut.describe('Cost of the hay alone; null for readers without prices').nullable(),
  cautions: z.array(cautionOut),
  bookValues: z.array(
    z.object({
      hayLot: z.string().describe('Name of the hay lot'),
      fields: z.array(z.string()).describe('Values taken from a book'),
    }),
  ),
};
