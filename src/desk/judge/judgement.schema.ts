import { z } from 'zod';
import { JUDGED_NUTRIENTS } from '../../core/nutrients/nutrients.js';
import { massOut, moneyOut } from '../../platform/wire/quantity.schema.js';
import { cautionOut } from '../../records/kit/caution.schema.js';

export const nutrientLineOut = z
  .object({
    nutrient: z.enum(JUDGED_NUTRIENTS).describe('Nutrient, energy or limit that is judged'),
    unit: z
      .enum(['kg/d', 'lb/d', 'g/d', 'Mcal/d'])
      .describe('Unit of every figure of the line, for one animal and day'),
    supply: z.number().describe('What the ration gives').nullable(),
    need: z.number().describe('What the animal needs').nullable(),
    atMost: z
      .number()
      .describe('Above this it is `excess`: harmful, or more than will be eaten; absent where more does no harm')
      .nullable(),
    surplus: z.number().describe('Supply less need').nullable(),
    surplusPercent: z
      .number()
      .describe('Supply less requirement, % of the requirement; null where there is none')
      .nullable(),
    verdict: z
      .enum(['short', 'near', 'meets', 'excess', 'no-need', 'unknown'])
      .describe('How the supply stands against the requirement'),
    unknownBecause: z.string().describe('Why a figure is missing').nullable(),
    restsOnBookValues: z.boolean().describe('True where a value of a book and not of a test went in'),
  })
  .meta({ id: 'NutrientLine', description: 'One nutrient: supply against need' });

/** What a ration comes to, wherever one is judged: the present one, a draft, or one in use. */
export const judgementShape = {
  lines: z.array(nutrientLineOut),
  expectedDailyGain: massOut
    .describe('Growing cattle: the smaller of what energy and protein allow, negative where they lose')
    .nullable(),
  gainRuledBy: z.string().describe('What limits the gain').nullable(),
  daysToOneConditionScore: z
    .number()
    .describe('Cows, and heifers that carry or nurse a calf: days to gain or lose one score')
    .nullable(),
  conditionDirection: z
    .enum(['gain', 'loss', 'steady'])
    .describe('Which way body condition goes; null where it does not apply')
    .nullable(),
  costPerHeadDay: moneyOut.describe('Hay alone; absent for readers without prices').nullable(),
  cautions: z.array(cautionOut),
  bookValues: z.array(
    z.object({
      hayLot: z.string().describe('Name of the hay lot'),
      fields: z.array(z.string()).describe('Values from a book'),
    }),
  ),
};
