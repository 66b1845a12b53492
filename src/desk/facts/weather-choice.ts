import { addDays } from '../../core/time/calendar-day.js';
import { WEATHER_LIMITS } from '../../core/requirements/animal-limits.data.js';
import type { CoatCondition, RequirementNote } from '../../core/requirements/requirement-set.js';
import type {
  KnownWeather,
  RecordedWeek,
  UsualOn,
  UsualWeather,
} from '../../records/yard/weather-days/weather-day.read.js';

/** Weather assumed in place of what was recorded. */
export interface StatedWeather {
  temperatureC: number;
  windKmPerHour: number | null;
  mudDepthCm: number | null;
  coat: CoatCondition;
}

/**
 * `known`: the weather of the day, or of one of the three days before, else as `usual`; `usual`: the mean of the month
 * in the years before, else what is on record (`weatherOfDay`); `stated`: as given; `none`: as in mild weather.
 */
export type WeatherChoice =
  | { readonly kind: 'known' | 'usual' | 'none' }
  | { readonly kind: 'stated'; readonly weather: StatedWeather };

/** The weather that a herd is judged in. */
export interface JudgedWeather extends KnownWeather {
  from: 'recorded' | 'usual' | 'last-week' | 'stated';
  /** What the cattle are used to (`usedToOn`). */
  previousMonthTemperatureC: number;
  /** Of `last-week`, the days that it is the mean of. */
  days?: readonly string[];
}

export const KNOWN_WEATHER: WeatherChoice = { kind: 'known' };

/** What there is of a ranch's weather for a day. */
export interface WeatherKept {
  readonly usualOn: UsualOn | undefined;
  readonly recorded: KnownWeather | undefined;
  readonly lastWeek: RecordedWeek | undefined;
  /** Mean of the 30 days before, °C; null if too few of them were recorded. */
  readonly monthBefore: number | null | undefined;
}

/**
 * The weather that a day is judged in, by one rule at every address. What is asked for comes first: the record of the
 * day, or the mean of its month in the years before; then the other of the two; then the mean of the last recorded
 * week. `null` where nothing is kept: mild, which `noWeatherNote` and a caution of the judge say.
 */
export function weatherOfDay(asked: 'known' | 'usual', day: string, kept: WeatherKept): JudgedWeather | null {
  const { usualOn, recorded, lastWeek } = kept;
  const own = recorded === undefined ? null : ({ ...recorded, from: 'recorded' } as const);
  const ofMonth = usualOn?.(day);
  const usual = ofMonth === undefined ? null : ({ ...asAssumed(day, ofMonth), from: 'usual' } as const);
  const week = lastWeek === undefined ? null : ({ ...asAssumed(day, lastWeek), from: 'last-week' } as const);
  const weather = (asked === 'known' ? (own ?? usual) : (usual ?? own)) ?? week;
  if (weather === null) return null;
  return { ...weather, previousMonthTemperatureC: usedTo(weather.temperatureC, usedToOn(day, kept)) };
}

/**
 * The temperature that cattle are used to on a day, °C, whatever weather they are judged in: the mean of the 30 days
 * before where enough of them are on record, else what is usual in the month before, else in the month itself, else
 * what the last recorded week tells. `null` where nothing does: they are used to the weather that they are judged in.
 */
export function usedToOn(day: string, { usualOn, lastWeek, monthBefore }: WeatherKept): number | null {
  const usual = usualOn?.(addDays(`${day.slice(0, 7)}-01`, -1)) ?? usualOn?.(day);
  return monthBefore ?? usual?.temperatureC ?? lastWeek?.previousMonthTemperatureC ?? lastWeek?.temperatureC ?? null;
}

/** Else the temperature of the day itself, as far as that can be the mean of a month. */
function usedTo(temperatureC: number, knownC: number | null): number {
  const [least, most] = WEATHER_LIMITS.previousMonthTemperatureC;
  return knownC ?? Math.min(most, Math.max(least, temperatureC));
}

const asAssumed = <Weather extends UsualWeather>(day: string, weather: Weather) =>
  ({ id: null, onDay: day, ...weather, mudDepthCm: null, coat: 'clean-and-dry' }) as const;

/** Whether nothing is known of the weather that the need should allow for. */
export const isColdLeftOut = (asked: WeatherChoice['kind'], weather: JudgedWeather | null): boolean =>
  asked !== 'none' && weather === null;

/** What a need says that should allow for other weather than is known: what stands in for it, or that nothing does. */
export function noWeatherNote(asked: WeatherChoice['kind'], weather: JudgedWeather | null): RequirementNote | null {
  const counted = weather === null ? leftOut(asked) : standIn(asked, weather);
  if (counted === null) return null;
  const message = `The usual temperature of the month is not known${counted}`;
  return { code: 'no-weather-normals', message, source: 'weather days of the ranch' };
}

const leftOut = (asked: WeatherChoice['kind']): string | null =>
  isColdLeftOut(asked, null)
    ? ', nor is weather of the season before on record, so cold is left out and the need is that of mild weather. ' +
      'Record the weather of the ranch, or state it.'
    : null;

function standIn(asked: WeatherChoice['kind'], { from, onDay, days = [] }: JudgedWeather): string | null {
  if (from === 'last-week')
    return `; the mean of the last recorded week is counted, ${listed(days)}. Record the weather, or state it.`;
  return asked === 'usual' && from === 'recorded' ? `; the weather recorded on ${onDay} is counted.` : null;
}

/** Days of a week, in words. */
const listed = (days: readonly string[]): string =>
  days.length === 1 ? `that of ${days.join()}` : `that of ${days.slice(0, -1).join(', ')} and ${days.slice(-1).join()}`;

/** Weather as given for a day, for cattle used to what `usedToOn` says. */
export function statedWeather(day: string, weather: StatedWeather, usedToC: number | null): JudgedWeather {
  return {
    ...weather,
    id: null,
    from: 'stated',
    onDay: day,
    previousMonthTemperatureC: usedTo(weather.temperatureC, usedToC),
  };
}
