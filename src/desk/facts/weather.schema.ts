import { z } from 'zod';
import { COLD_METHODS, type ColdMethod } from '../../core/requirements/requirement-set.js';
import { day, id } from '../../platform/wire/common.schema.js';
import type { HerdFacts } from './herd-facts.js';

export const weatherOut = z
  .object({
    weatherDayId: id.nullable().describe('The entry; null where the weather was only assumed'),
    onDay: day,
    temperatureCelsius: z.number().describe('Mean air temperature of the day, °C'),
    windKmPerHour: z.number().describe('Mean wind of the day, km/h').nullable(),
    mudDepthCm: z.number().describe('Depth of the mud, cm').nullable(),
    coat: z.string().describe('State of the coats'),
    previousMonthCelsius: z
      .number()
      .describe('Mean air temperature of the 30 days before, °C; null where too few of them were recorded')
      .nullable(),
    coldMethod: z.enum(COLD_METHODS).describe('How the cost of cold was worked out'),
  })
  .describe('The weather that the figures allow for');

export function weatherAnswer({ weather }: HerdFacts, coldMethod: ColdMethod): z.input<typeof weatherOut> | null {
  if (weather === null) return null;
  return {
    weatherDayId: weather.id,
    onDay: weather.onDay,
    temperatureCelsius: weather.temperatureC,
    windKmPerHour: weather.windKmPerHour,
    mudDepthCm: weather.mudDepthCm,
    coat: weather.coat,
    previousMonthCelsius:
      weather.previousMonthTemperatureC === null ? null : Number(weather.previousMonthTemperatureC.toFixed(2)),
    coldMethod,
  };
}
