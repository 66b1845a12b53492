import { z } from 'zod';
import { COAT_CONDITIONS } from '../../../core/requirements/requirement-set.js';
import { convert, toBaseUnit } from '../../../core/units/unit.js';
import { pageAnswer } from '../../../platform/http/cursor.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, instantOut, note, operationParams } from '../../../platform/wire/common.schema.js';
import {
  typedLengthOut,
  typedSpeedOut,
  typedTemperatureOut,
  unitsQuery,
} from '../../../platform/wire/quantity.schema.js';
import { unitOf } from '../../../platform/wire/unit.schema.js';
import { eventQuery } from '../../kit/day-range.js';
import { reversalIn, reversalOut } from '../../kit/reversal.schema.js';

const plainNumber = (pattern: RegExp, words: string) =>
  z
    .union([z.string(), z.number()])
    .transform(String)
    .refine((value) => pattern.test(value), words)
    .describe('The figure, as text or number');
export const temperature = z
  .strictObject({
    value: plainNumber(/^-?\d{1,3}(\.\d{1,2})?$/, 'must be a number of degrees with at most two decimal places'),
    unit: unitOf('temperature'),
  })
  .refine(
    ({ value, unit }) => {
      const celsius = toBaseUnit(Number(value), unit);
      return celsius >= -70 && celsius <= 60;
    },
    { path: ['value'], message: 'must lie between -70 and 60 °C (-94 and 140 °F)' },
  );
export const wind = z
  .strictObject({
    value: plainNumber(/^\d{1,3}(\.\d{1,2})?$/, 'must be 0 to below 1,000 with at most two decimal places'),
    unit: unitOf('speed'),
  })
  .refine(({ value, unit }) => toBaseUnit(Number(value), unit) <= 300, {
    path: ['value'],
    message: 'must be at most 300 km/h',
  });
export const mud = z
  .strictObject({
    value: plainNumber(/^\d{1,2}(\.\d{1,2})?$/, 'must be 0 to below 100 with at most two decimal places'),
    unit: unitOf('length', 'small'),
  })
  .refine(({ value, unit }) => convert(Number(value), unit, 'cm') <= 100, {
    path: ['value'],
    message: 'must be at most 100 cm',
  });
const coat = z.enum(COAT_CONDITIONS).describe('Coat of the cattle, as it was seen');

/** The weather of a day as typed, whether entered or only assumed. */
export const weatherFields = {
  meanTemperature: temperature.describe('Mean temperature of the day and its night'),
  wind: wind.optional().describe('Mean wind where the cattle are'),
  wet: z.boolean().default(false).describe('Whether coats were wet'),
  mudDepth: mud.optional().describe('Depth of mud where they stand'),
  coat: coat.optional(),
};

const weatherDay = z
  .object({
    id,
    ranchId: id,
    onDay: day,
    meanTemperature: typedTemperatureOut.describe('Mean temperature of the day and its night'),
    wind: typedSpeedOut.describe('Mean wind where the cattle are').nullable(),
    wet: z.boolean().describe('Whether rain, wet snow or mud lay on the coats'),
    mudDepth: typedLengthOut.describe('Depth of mud where they stand').nullable(),
    coat: coat.describe('State of the coats as seen, or as it follows from wet and mud'),
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    reversal: reversalOut.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'WeatherDay', description: 'The weather of a day at a ranch; a later entry of the same day supersedes' });

const tag = 'Weather and water';
const params = operationParams.extend({ weatherDayId: id });

export const createWeatherDay = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/weather-days',
  operationId: 'createWeatherDay',
  tag,
  access: 'daily',
  summary: 'Write down the weather of a day',
  description:
    'The requirements of every herd of the ranch on that day follow it. A later entry of the same day supersedes.',
  params: operationParams,
  query: z.strictObject(unitsQuery),
  body: z.strictObject({
    ranchId: id,
    onDay: day,
    ...weatherFields,
    note: note.optional(),
  }),
  answer: weatherDay,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/weather-days/${created.id}`,
});
export const listWeatherDays = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/weather-days',
  operationId: 'listWeatherDays',
  tag,
  access: 'read',
  summary: 'Weather days, newest first',
  params: operationParams,
  query: z.strictObject({ ...eventQuery, ...unitsQuery, ranchId: id.optional().describe('Only those of this ranch') }),
  answer: pageAnswer(weatherDay),
  paged: true,
});
export const getWeatherDay = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/weather-days/:weatherDayId',
  operationId: 'getWeatherDay',
  tag,
  access: 'read',
  summary: 'One weather day',
  params,
  query: z.strictObject(unitsQuery),
  answer: weatherDay,
});
export const reverseWeatherDay = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/weather-days/:weatherDayId/reversal',
  operationId: 'reverseWeatherDay',
  tag,
  access: 'daily',
  summary: 'Reverse a weather day',
  params,
  body: reversalIn,
  answer: reversalOut,
  creates: (_created, { operationId, weatherDayId }) => `/v1/operations/${operationId}/weather-days/${weatherDayId}`,
});
