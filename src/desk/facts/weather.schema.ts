import { z } from 'zod';
import { COAT_CONDITIONS, COLD_METHODS, type ColdMethod } from '../../core/requirements/requirement-set.js';
import { convert, toBaseUnit, type UnitSystem, unitsOf } from '../../core/units/unit.js';
import { Problem } from '../../platform/http/problem.js';
import { day, id } from '../../platform/wire/common.schema.js';
import { formatMeasure, measureOut } from '../../platform/wire/quantity.schema.js';
import { mud, temperature, type weatherFields, wind } from '../../records/yard/weather-days/weather-day.schema.js';
import { coatOf } from '../../records/yard/weather-days/weather-day.read.js';
import type { HerdFacts } from './herd-facts.js';
import type { StatedWeather, WeatherChoice } from './weather-choice.js';

export const weatherOut = z
  .object({
    weatherDayId: id.nullable().describe('The entry; null where it is not the weather of one day'),
    from: z
      .enum(['recorded', 'usual', 'last-week', 'stated'])
      .describe(
        'recorded: entered at the ranch; usual: the mean of the month in the years before; last-week: the mean of ' +
          'the days in the last recorded week, which a note names; stated: as asked',
      ),
    onDay: day,
    temperature: measureOut('temperature').describe('Mean air temperature of the day'),
    wind: measureOut('speed').describe('Mean wind of the day; null where nobody wrote it down').nullable(),
    mudDepth: measureOut('length', 'small').describe('Depth of the mud; null where nobody wrote it down').nullable(),
    coat: z.string().describe('State of the coats'),
    previousMonthTemperature: measureOut('temperature').describe(
      'What the cattle are used to: the mean of the 30 days before where at least ten of them were recorded, else ' +
        'what is usual in the month before or in this one, else what the last recorded week tells, else the ' +
        'temperature that is counted',
    ),
    coldMethod: z.enum(COLD_METHODS).describe('How the cost of cold was worked out'),
  })
  .meta({ id: 'WeatherAllowedFor', description: 'The weather that the figures allow for' });

export function weatherAnswer(
  { weather }: HerdFacts,
  coldMethod: ColdMethod,
  units: UnitSystem,
): z.input<typeof weatherOut> | null {
  if (weather === null) return null;
  const temperature = (celsius: number) => formatMeasure(celsius, 'temperature', units);
  return {
    weatherDayId: weather.id,
    from: weather.from,
    onDay: weather.onDay,
    temperature: temperature(weather.temperatureC),
    wind: weather.windKmPerHour === null ? null : formatMeasure(weather.windKmPerHour, 'speed', units),
    mudDepth:
      weather.mudDepthCm === null
        ? null
        : formatMeasure(toBaseUnit(weather.mudDepthCm, 'cm'), 'length', units, { size: 'small' }),
    coat: weather.coat,
    previousMonthTemperature: temperature(weather.previousMonthTemperatureC),
    coldMethod,
  };
}

/** A figure and its unit in one query parameter; what is wrong with the figure is wrong with the parameter. */
function figureWithUnit<Unit extends string, Figure>(units: readonly [Unit, ...Unit[]], figure: z.ZodType<Figure>) {
  const form = new RegExp(`^(-?[\\d.]+) ?(${units.join('|')})$`);
  return z
    .string()
    .regex(form, `must be a figure and its unit: ${units.join(', ')}`)
    .transform((text, context): Figure => {
      const [, value, unit] = form.exec(text) ?? [];
      const read = figure.safeParse({ value, unit });
      if (read.success) return read.data;
      for (const { message, ...issue } of read.error.issues)
        context.addIssue({ code: 'custom', message, ...(issue.code === 'custom' ? { params: issue.params } : {}) });
      return z.NEVER;
    });
}

/** Which weather a herd is judged in, the same at every address that offers the choice. */
export const weatherQuery = {
  weather: z
    .enum(['known', 'usual', 'stated', 'none'])
    .default('known')
    .describe(
      'known: the weather day of the ranch, or one of the three days before, else as usual; usual: the mean of the ' +
        'month in the years before, else, where fewer than ten of its days are on record, what was recorded on the ' +
        'day itself. Where there is neither, the mean of the last recorded week of the season before, which a note ' +
        'names; where nothing is on record, as in mild weather, with a caution of what a usual cold would add. ' +
        'stated: as `temperature`, `wind`, `mudDepth` and `coat` tell; none: as in mild weather',
    ),
  temperature: figureWithUnit(unitsOf('temperature'), temperature)
    .optional()
    .describe('Mean temperature of the day and its night, with its unit, as in `-15 F`; only with weather=stated'),
  wind: figureWithUnit(unitsOf('speed'), wind)
    .optional()
    .describe('Mean wind where the cattle are, with its unit, as in `15 mph`; only with weather=stated'),
  mudDepth: figureWithUnit(unitsOf('length', 'small'), mud)
    .optional()
    .describe('Depth of mud where they stand, with its unit, as in `4 in`; only with weather=stated'),
  coat: z.enum(COAT_CONDITIONS).optional().describe('State of the coats; only with weather=stated'),
};

type Typed = z.output<z.ZodObject<typeof weatherFields>>;
type Query = z.output<z.ZodObject<typeof weatherQuery>>;

/** Rounded as a weather day keeps it, so that the same weather is the same figure, typed or on record. */
const asKept = (figure: number): number => Number(figure.toFixed(3));

/** Weather as typed, in the units of the equations. */
export function statedWeatherOf({ meanTemperature, wind, mudDepth, coat, wet }: Typed): StatedWeather {
  return {
    temperatureC: asKept(toBaseUnit(Number(meanTemperature.value), meanTemperature.unit)),
    windKmPerHour: wind === undefined ? null : asKept(convert(Number(wind.value), wind.unit, 'km/h')),
    mudDepthCm: mudDepth === undefined ? null : asKept(convert(Number(mudDepth.value), mudDepth.unit, 'cm')),
    coat: coatOf({ coat: coat ?? null, wet, mud_cm: mudDepth?.value ?? null }),
  };
}

/** The weather that a query chose. @throws Problem where stated weather has no figures, or figures come without it. */
export function weatherChoiceOf({ weather, temperature, wind, mudDepth, coat }: Query): WeatherChoice {
  const stated = { temperature, wind, mudDepth, coat };
  if (weather !== 'stated') {
    const [field, given] = Object.entries(stated).find(([, value]) => value !== undefined) ?? [];
    if (field === undefined) return { kind: weather };
    throw notWith(field, given, 'weather=stated beside it', `${field} counts only with weather=stated.`);
  }
  if (temperature === undefined)
    throw notWith(
      'temperature',
      null,
      'a temperature with its unit, as in -15 F',
      'Stated weather needs a temperature.',
    );
  return {
    kind: 'stated',
    weather: statedWeatherOf({ meanTemperature: temperature, wind, mudDepth, coat, wet: false }),
  };
}

function notWith(parameter: string, given: unknown, allowed: string, message: string): Problem {
  return new Problem('invalid-input', undefined, [{ parameter, code: 'weather-not-told', given, allowed, message }]);
}
