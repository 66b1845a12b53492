import { z } from 'zod';
import { figureText } from '../../../core/units/decimal.js';
import { WEATHER_LIMITS } from '../../../core/requirements/animal-limits.data.js';
import { COAT_CONDITIONS } from '../../../core/requirements/requirement-set.js';
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
import { within } from '../../../platform/wire/within.schema.js';
import { eventQuery } from '../../kit/day-range.js';
import { reversalIn, reversalOut } from '../../kit/reversal.schema.js';

const figure = z
  .union([z.string(), z.number()])
  .transform(String)
  .refine((value) => figureText({ digits: 6, places: 2, signed: true }).test(value), {
    message: 'must be a plain number with at most two decimal places',
    abort: true,
  })
  .describe('The figure, as text or number');
export const temperature = z
  .strictObject({ value: figure, unit: unitOf('temperature') })
  .superRefine(within<'temperature'>(WEATHER_LIMITS.temperatureC, 'C'));
export const wind = z
  .strictObject({ value: figure, unit: unitOf('speed') })
  .superRefine(within<'speed'>(WEATHER_LIMITS.windKmPerHour, 'km/h'));
export const mud = z
  .strictObject({ value: figure, unit: unitOf('length', 'small') })
  .superRefine(within<'length'>(WEATHER_LIMITS.mudDepthCm, 'cm'));
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
  register: {},
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
