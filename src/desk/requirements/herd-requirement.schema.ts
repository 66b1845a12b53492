import { z } from 'zod';
import { byCode, MINERALS, TRACE_NUTRIENTS } from '../../core/nutrients/nutrients.js';
import { ANIMAL_CLASSES, COLD_METHODS, REQUIREMENT_EDITIONS } from '../../core/requirements/requirement-set.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, operationParams } from '../../platform/wire/common.schema.js';
import { massOut, measureOut, unitsQuery, unitSystem } from '../../platform/wire/quantity.schema.js';
import { dailyAmountOut, requirementNoteOut } from '../judge/judgement.schema.js';
import { weatherOut, weatherQuery } from '../facts/weather.schema.js';

const stepOut = z.object({
  name: z.string().describe('Name of the step or figure'),
  value: z.number().describe('The figure, in the unit beside it'),
  unit: z.string().describe('Unit of the figure beside it'),
  inTheEquation: z
    .object({
      value: z.number().describe('The figure, in the unit beside it'),
      unit: z.string().describe('Unit of the figure beside it'),
    })
    .describe('The same as the published equation holds it, whatever units were asked for'),
  source: z.string().describe('The equation and where it was published'),
});

const requirementOut = z.object({
  edition: z.enum(REQUIREMENT_EDITIONS).describe('Published system: NRC 2000 update, or NASEM 2016 where it differs'),
  perHead: z
    .object({
      dryMatterIntake: massOut.describe('Predicted dry matter intake'),
      dryMatterEaten: massOut
        .describe('Dry matter that is eaten of the ration in use, as it is judged; null without one')
        .nullable(),
      netEnergyMaintenanceTotal: dailyAmountOut.describe(
        'NEm for maintenance with weather and activity, pregnancy and milk',
      ),
      netEnergyMaintenance: dailyAmountOut,
      netEnergyGain: dailyAmountOut,
      netEnergyPregnancy: dailyAmountOut,
      netEnergyLactation: dailyAmountOut,
      totalDigestibleNutrients: massOut
        .describe(
          'TDN needed: that of as much of the diet as covers NEm and NEg, as a ration is judged; null where the diet ' +
            'has no energy for the gain that is wanted',
        )
        .nullable(),
      milk: massOut,
      metabolizableProtein: dailyAmountOut,
      crudeProtein: dailyAmountOut,
      rumenDegradableProtein: dailyAmountOut.describe(
        'What the microbes of the rumen need: of what is eaten of the ration in use, as its line shows it; without a ' +
          'ration, at the predicted intake. Sulfur likewise; a note names both intakes',
      ),
      ...byCode(MINERALS, () => dailyAmountOut),
      ...byCode(TRACE_NUTRIENTS, () => dailyAmountOut),
      water: measureOut('volume', 'small').describe('Water that an animal needs per day'),
    })
    .nullable(),
  perHerd: z
    .object({
      dryMatterIntake: massOut,
      water: measureOut('volume', 'small').describe('Water that the whole herd needs per day'),
    })
    .describe('For all head of the herd, per day; null where the need cannot be worked out')
    .nullable(),
  diet: z
    .object({
      netEnergyMaintenance: measureOut('energy content', 'small').describe('NEm of the diet, in its dry matter'),
      totalDigestibleNutrients: massOut.describe(
        'TDN per head per day that the diet gives at the predicted intake, not what is needed: that is in perHead',
      ),
      totalDigestibleNutrientsPercent: z.number().describe('TDN of the diet, % of dry matter'),
      origin: z
        .enum(['given', 'solved', 'closest'])
        .describe(
          'given: the diet of the ration in use; solved: the poorest diet that covers the need; closest: the ' +
            'one that comes closest where none does',
        ),
    })
    .nullable(),
  coldMethod: z
    .enum([...COLD_METHODS, 'none'])
    .describe(
      'How the cost of cold was worked out, none where no weather was allowed for; null where the need ' +
        'cannot be worked out',
    )
    .nullable(),
  lowerCriticalTemperature: measureOut('temperature')
    .describe('Air temperature below which cold costs energy; null where it was not worked out')
    .nullable(),
  working: z
    .array(z.object({ family: z.string().describe('Family of equations'), steps: z.array(stepOut) }))
    .describe('Every step, so that each figure can be traced'),
  notes: z.array(requirementNoteOut),
  refusedBecause: z
    .array(
      z.object({
        code: z.string().describe('Code that stays the same between releases'),
        field: z.string().describe('The field that is missing or wrong'),
        message: z.string().describe('Why it cannot be worked out'),
      }),
    )
    .describe('Why the need cannot be worked out; empty where it can'),
});

export const herdRequirements = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/herds/:herdId/requirements',
  operationId: 'getHerdRequirements',
  tag: 'Rations',
  access: 'read',
  summary: 'What a herd needs on a day, in both published editions, with the working',
  description:
    'For the mean animal of the herd: class, weight, stage, condition, milk and target gain as recorded, the ' +
    'weather day of its ranch, and the diet of the ration in use.',
  params: operationParams.extend({ herdId: id }),
  query: z.strictObject({
    ...unitsQuery,
    on: day.optional().describe('Day to work out; today at the ranch if left out'),
    edition: z.enum(REQUIREMENT_EDITIONS).optional().describe('Only this edition; both if left out'),
    coldMethod: z.enum(COLD_METHODS).default('heat-balance').describe('How the cost of cold is worked out'),
    ...weatherQuery,
    diet: z
      .enum(['ration-in-use', 'solved'])
      .default('ration-in-use')
      .describe('Diet that intake is predicted from; without a ration in use, the one that just covers the need'),
    grazing: z
      .enum(['true', 'false'])
      .default('false')
      .describe('True if the herd walks and grazes for part of its feed'),
  }),
  answer: z
    .object({
      herdId: id,
      herd: z.string().describe('Name of the herd'),
      onDay: day,
      cattleClass: z.enum(ANIMAL_CLASSES).describe('Class of cattle, for the requirement equations'),
      head: z.number().int().describe('Head on the day'),
      bodyWeight: massOut.describe('Mean full weight that was used'),
      bodyWeightFrom: z.string().describe('Where that weight comes from'),
      daysPregnant: z.number().int().describe('Counted from the day of breeding').nullable(),
      daysInMilk: z.number().int().describe('Counted from the day of calving').nullable(),
      bodyCondition: z.number().describe('Body condition score, 1 (emaciated) to 9 (obese)').nullable(),
      dietFrom: z.string().describe('Which diet intake was predicted from'),
      weather: weatherOut.nullable(),
      units: unitSystem.describe('Units of this answer'),
      requirements: z.array(requirementOut).describe('One for each edition'),
    })
    .meta({ id: 'HerdRequirements', description: 'What one animal of a herd needs in a day, and the herd' }),
});
