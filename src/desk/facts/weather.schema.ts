import { z } from 'zod';
import { toBaseUnit, type UnitSystem } from '../../core/units/unit.js';
import { COLD_METHODS, type ColdMethod } from '../../core/requirements/requirement-set.js';
import { day, id } from '../../platform/wire/common.schema.js';
import { formatMeasure, measureOut } from '../../platform/wire/quantity.schema.js';
import type { HerdFacts } from './herd-facts.js';

export const weatherOut = z
  .object({
    weatherDayId: id.nullable().describe('The entry; null where the weather was only assumed'),
    onDay: day,
    temperature: measureOut('temperature').describe('Mean air temperature of the day'),
    wind: measureOut('speed').describe('Mean wind of the day; null where nobody wrote it down').nullable(),
    mudDepth: measureOut('length', 'small').describe('Depth of the mud; null where nobody wrote it down').nullable(),
    coat: z.string().describe('State of the coats'),
    previousMonthTemperature: measureOut('temperature')
      .describe('Mean air temperature of the 30 days before; null where too few of them were recorded')
      .nullable(),
    coldMethod: z.enum(COLD_METHODS).describe('How the cost of cold was worked out'),
  })
  .describe('The weather that the figures allow for');

export function weatherAnswer(
  { weather }: HerdFacts,
  coldMethod: ColdMethod,
  units: UnitSystem,
): z.input<typeof weatherOut> | null {
  if (weather === null) return null;
  const temperature = (celsius: number) => formatMeasure(celsius, 'temperature', units);
  return {
    weatherDayId: weather.id,
    onDay: weather.onDay,
    temperature: temperature(weather.temperatureC),
    wind: weather.windKmPerHour === null ? null : formatMeasure(weather.windKmPerHour, 'speed', units),
    mudDepth:
      weather.mudDepthCm === null
        ? null
        : formatMeasure(toBaseUnit(weather.mudDepthCm, 'cm'), 'length', units, { size: 'small' }),
    coat: weather.coat,
    previousMonthTemperature:
      weather.previousMonthTemperatureC === null ? null : temperature(weather.previousMonthTemperatureC),
    coldMethod,
  };
}
