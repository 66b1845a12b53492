import type { CoatCondition, RequirementNote } from '../../core/requirements/requirement-set.js';
import type { KnownWeather, UsualWeather } from '../../records/yard/weather-days/weather-day.read.js';

/** Weather assumed in place of what was recorded. */
export interface StatedWeather {
  temperatureC: number;
  windKmPerHour: number | null;
  mudDepthCm: number | null;
  coat: CoatCondition;
}

/**
 * `known`: the weather of the day, or of one of the three days before; `usual`: the mean of the month in the years
 * before, or the weather recorded on the day itself where too few days of that month are on record; `stated`: as given;
 * `none`: as in mild weather.
 */
export type WeatherChoice =
  | { readonly kind: 'known' | 'usual' | 'none' }
  | { readonly kind: 'stated'; readonly weather: StatedWeather };

/** The weather that a herd is judged in. */
export interface JudgedWeather extends KnownWeather {
  from: 'recorded' | 'usual' | 'stated';
}

export const KNOWN_WEATHER: WeatherChoice = { kind: 'known' };

/** The first day of a day's month: a month's usual weather comes from the years before it. */
export function firstOfMonth(day: string): string {
  return `${day.slice(0, 7)}-01`;
}

/**
 * The mean of a day's month. Where too few days of that month are on record: what was recorded on the day itself, or
 * `null`.
 */
export function usualWeather(
  day: string,
  byMonth: ReadonlyMap<number, UsualWeather> | undefined,
  recorded: KnownWeather | undefined,
): JudgedWeather | null {
  const month = Number(day.slice(5, 7));
  const usual = byMonth?.get(month);
  if (usual === undefined) return recorded === undefined ? null : { ...recorded, from: 'recorded' };
  const before = byMonth?.get(month === 1 ? 12 : month - 1);
  return {
    id: null,
    from: 'usual',
    onDay: day,
    ...usual,
    mudDepthCm: null,
    coat: 'clean-and-dry',
    previousMonthTemperatureC: (before ?? usual).temperatureC,
  };
}

/** Whether usual weather was asked for and is not known, whatever stands in for it. */
export function lacksNormals(asked: WeatherChoice['kind'], weather: JudgedWeather | null): boolean {
  return asked === 'usual' && (weather === null || weather.from === 'recorded');
}

/** What a need says that should allow for the usual weather and cannot. */
export function noNormalsNote(weather: JudgedWeather | null): RequirementNote {
  return {
    code: 'no-weather-normals',
    message:
      weather === null
        ? 'The usual temperature of the month is not known, so cold is left out and the need is that of mild ' +
          'weather. Record the weather of the ranch, or state it.'
        : `The usual temperature of the month is not known; the weather recorded on ${weather.onDay} is counted.`,
    source: 'weather days of the ranch',
  };
}

/** Weather as given for a day; the temperature that cattle are used to stays as recorded. */
export function statedWeather(day: string, weather: StatedWeather, recorded: KnownWeather | undefined): JudgedWeather {
  return {
    ...weather,
    id: null,
    from: 'stated',
    onDay: day,
    previousMonthTemperatureC: recorded?.previousMonthTemperatureC ?? null,
  };
}
