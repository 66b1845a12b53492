import { z } from 'zod';
import { COLD_METHODS, REQUIREMENT_EDITIONS } from '../../core/requirements/requirement-set.js';
import { JUDGED_NUTRIENTS } from '../../core/nutrients/nutrients.js';
import { day } from '../../platform/wire/common.schema.js';
import { massOut, moneyOut, unitsQuery } from '../../platform/wire/quantity.schema.js';
import { weatherQuery } from '../facts/weather.schema.js';
import { cautionOut } from '../../records/kit/caution.schema.js';

const dailyUnit = z.enum(['kg/d', 'lb/d', 'g/d', 'Mcal/d', 'mg/d', 'IU/d']).meta({
  id: 'DailyUnit',
  description: 'Unit of a figure per head per day',
});
/** One figure per head per day; a mass of feed or milk stands as a mass. */
export const dailyAmountOut = z
  .object({ value: z.number().describe('The figure, in the unit beside it'), unit: dailyUnit })
  .meta({ id: 'DailyAmount', description: 'An amount per head per day, with its unit' });

export const nutrientLineOut = z
  .object({
    nutrient: z.enum(JUDGED_NUTRIENTS).describe('Nutrient, energy or limit that is judged'),
    unit: dailyUnit.describe('Unit of every figure of the line, per head per day'),
    supply: z.number().describe('What the ration supplies; null where it is not known').nullable(),
    supplyIsAtLeast: z
      .boolean()
      .describe(
        'True where a feed lacks the value and counts as zero, since it is a small part of the dry matter or the ' +
          'other feeds meet the need by themselves: the ration supplies this much or more',
      ),
    missingIn: z.array(z.string()).describe('Feeds that lack the value'),
    need: z.number().describe('What the animal needs; null where it has no such need or it is not known').nullable(),
    atMost: z
      .number()
      .describe('Above this it is `excess`: harmful, or more than will be eaten; null where no limit is known')
      .nullable(),
    surplus: z.number().describe('Supply less need; null where either is not known').nullable(),
    percentOfDryMatter: z
      .object({
        supply: z.number().describe('What the ration supplies, % of its dry matter; null where not known').nullable(),
        need: z.number().describe('The need, % of the same dry matter; null where there is none').nullable(),
      })
      .describe(
        'The line as shares of the dry matter that this ration gives; null for energy, vitamins, trace minerals and ' +
          'the dry matter itself',
      )
      .nullable(),
    surplusPercent: z
      .number()
      .describe('Supply less need, % of the need; null where there is no need or it is not known')
      .nullable(),
    verdict: z
      .enum(['short', 'near', 'meets', 'excess', 'no-need', 'unknown'])
      .describe('How the supply compares with the requirement'),
    unknownBecause: z.string().describe('Why a figure is missing; null where none is').nullable(),
    restsOnBookValues: z.boolean().describe('True if book values went in, not only tests'),
  })
  .meta({ id: 'NutrientLine', description: 'One nutrient: supply against need' });

/** How to ask for a herd to be judged, the same at every address. */
export const judgingQuery = {
  ...unitsQuery,
  on: day.optional().describe('Day to judge on; today at the ranch if left out'),
  edition: z.enum(REQUIREMENT_EDITIONS).default('NRC2000').describe('Published requirement system'),
  coldMethod: z
    .enum(COLD_METHODS)
    .default('heat-balance')
    .describe("How the cost of cold is worked out where the day's weather is known"),
  ...weatherQuery,
  tests: z
    .enum(['now', 'then'])
    .default('now')
    .describe(
      'Lab tests of samples taken by that day. now: with results that came in later; then: as they were known that day',
    ),
};

export const requirementNoteOut = z
  .object({
    code: z.string().describe('Code that stays the same between releases'),
    message: z.string().describe('A default that was used, a limit that was reached or a doubt'),
    source: z.string().describe('Where it comes from'),
  })
  .meta({ id: 'RequirementNote', description: 'What the need of a herd assumes, is limited by, or leaves in doubt' });

/** The judgement of a ration, wherever one is judged: the present one, a draft, or one in use. */
export const judgementShape = {
  lines: z.array(nutrientLineOut),
  expectedDailyGain: massOut
    .describe(
      'Growing cattle: the smaller of the gains that energy and protein allow, below zero where the cattle lose ' +
        'weight; null where there is none to predict',
    )
    .nullable(),
  gainInWords: z
    .string()
    .describe('What they gain a day and what holds it down, or why they lose; null where no gain is predicted')
    .nullable(),
  gainRuledBy: z.string().describe('What limits the gain; null where no gain is predicted').nullable(),
  daysToOneConditionScore: z
    .number()
    .describe(
      'Cows, and heifers that carry or nurse a calf: days to gain or lose one score; null where it does not apply, ' +
        'and where it would take more than a year',
    )
    .nullable(),
  conditionDirection: z
    .enum(['gain', 'loss', 'steady'])
    .describe(
      'Which way body condition is going; steady where one score takes more than a year; null where it does not apply',
    )
    .nullable(),
  costPerHeadDay: moneyOut.describe('Cost of the hay alone; null for readers without prices').nullable(),
  cautions: z.array(cautionOut),
  bookValues: z.array(
    z.object({
      hayLot: z.string().describe('Name of the hay lot'),
      fields: z.array(z.string()).describe('Values taken from a book'),
    }),
  ),
  wastedPercent: z.number().describe('Part of what is offered that is not eaten, %'),
  wastedRestsOn: z
    .enum(['measured', 'stated', 'nothing'])
    .describe(
      'measured: refused or wasted hay, as recorded at feedings of the four weeks up to the last such record, at ' +
        'most a year ago, without what was refused because more was laid than cattle can hold; of feedings that ' +
        'are judged themselves, what was left of just these. stated: in the ration; nothing: 0 is taken',
    ),
  notes: z
    .array(requirementNoteOut)
    .describe('What the need had to assume, was held down by or doubts; empty where the need is not known'),
  refusedBecause: z
    .array(
      z.object({
        code: z.string().describe('Code that stays the same between releases'),
        message: z.string().describe('Why the ration cannot be judged'),
      }),
    )
    .describe('Empty where the herd can be judged. Cautions stand either way'),
};

/** One judgement, where an answer holds several. */
export const rationJudgement = z
  .object(judgementShape)
  .meta({ id: 'RationJudgement', description: 'What the judge says of a ration for a herd on a day' });
