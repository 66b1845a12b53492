import { z } from 'zod';
import { COLD_METHODS, REQUIREMENT_EDITIONS } from '../../core/requirements/requirement-set.js';
import { JUDGED_NUTRIENTS } from '../../core/nutrients/nutrients.js';
import { day } from '../../platform/wire/common.schema.js';
import { massOut, moneyOut, unitsQuery } from '../../platform/wire/quantity.schema.js';
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

/** How a herd may be asked to be judged, the same at every address. */
export const judgingQuery = {
  ...unitsQuery,
  on: day.optional().describe('The day; today at the ranch if absent'),
  edition: z.enum(REQUIREMENT_EDITIONS).default('NRC2000').describe('Published requirement system'),
  coldMethod: z
    .enum(COLD_METHODS)
    .default('heat-balance')
    .describe('How cold is counted where the weather of the day is known'),
  weather: z
    .enum(['known', 'none'])
    .default('known')
    .describe('known: the weather day of the ranch, or one of the three days before; none: as in mild weather'),
  tests: z
    .enum(['now', 'then'])
    .default('now')
    .describe(
      'Lab tests of samples taken by that day. now: with results that came in later; then: as they were known that day',
    ),
};

/** What a ration comes to, wherever one is judged: the present one, a draft, or one in use. */
export const judgementShape = {
  lines: z.array(nutrientLineOut),
  expectedDailyGain: massOut.describe('Growing cattle: the smaller of what energy and protein allow').nullable(),
  gainRuledBy: z.string().describe('What limits the gain').nullable(),
  daysToOneConditionScore: z.number().describe('Cows: days to gain or lose one score').nullable(),
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
  wastedPercent: z.number().describe('Part of what is offered that is not eaten, %'),
  wastedRestsOn: z
    .enum(['measured', 'stated', 'nothing'])
    .describe(
      'measured: refused or wasted hay of the last week of feeding; stated: in the ration; nothing: 0 is taken',
    ),
  refusedBecause: z
    .array(
      z.object({
        code: z.string().describe('Code that stays the same between releases'),
        message: z.string().describe('Why the ration cannot be judged'),
      }),
    )
    .describe('Empty where the herd can be judged. Cautions stand either way'),
};
