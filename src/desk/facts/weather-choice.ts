import type { CoatCondition } from '../../core/requirements/requirement-set.js';
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
 * before; `stated`: as given; `none`: as in mild weather.
 */
export type WeatherChoice =
  { readonly kind: 'known' | 'usual' | 'none' } | { readonly kind: 'stated'; readonly weather: StatedWeather };

/** The weather that a herd is judged in. */
export interface JudgedWeather extends KnownWeather {
  from: 'recorded' | 'usual' | 'stated';
}

export const KNOWN_WEATHER: WeatherChoice = { kind: 'known' };

/** The first day of a day's month: a month's usual weather comes from the years before it. */
export function firstOfMonth(day: string): string {
  return `${day.slice(0, 7)}-01`;
}

/** The mean of a day's month; `null` where too few of its days are on record. */
export function usualWeather(
  day: string,
  byMonth: ReadonlyMap<number, UsualWeather> | undefined,
): JudgedWeather | null {
  const month = Number(day.slice(5, 7));
  const usual = byMonth?.get(month);
  if (usual === undefined) return null;
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
