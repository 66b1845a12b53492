import { addDays } from '../../core/time/calendar-day.js';
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
  /** Of `last-week`, the days that it is the mean of. */
  days?: readonly string[];
}

export const KNOWN_WEATHER: WeatherChoice = { kind: 'known' };

/** What there is of a ranch's weather for a day. */
interface WeatherKept {
  readonly usualOn: UsualOn | undefined;
  readonly recorded: KnownWeather | undefined;
  readonly lastWeek: RecordedWeek | undefined;
}

/**
 * The weather that a day is judged in, by one rule at every address. What is asked for comes first: the record of the
 * day, or the mean of its month in the years before; then the other of the two; then the mean of the last recorded
 * week. `null` where nothing is kept: mild, which `noWeatherNote` and a caution of the judge say.
 */
export function weatherOfDay(
  asked: 'known' | 'usual',
  day: string,
  { usualOn, recorded, lastWeek }: WeatherKept,
): JudgedWeather | null {
  const own = recorded === undefined ? null : ({ ...recorded, from: 'recorded' } as const);
  const usual = usualOf(day, usualOn);
  const week = lastWeek === undefined ? null : ({ ...asAssumed(day, lastWeek), from: 'last-week' } as const);
  return (asked === 'known' ? (own ?? usual) : (usual ?? own)) ?? week;
}

const asAssumed = <Weather extends UsualWeather>(day: string, weather: Weather) =>
  ({ id: null, onDay: day, ...weather, mudDepthCm: null, coat: 'clean-and-dry' }) as const;

/** The usual weather of a day's month; cattle are used to that of the month before. */
function usualOf(day: string, usualOn: WeatherKept['usualOn']): JudgedWeather | null {
  const usual = usualOn?.(day);
  if (usual === undefined) return null;
  const before = usualOn?.(addDays(`${day.slice(0, 7)}-01`, -1)) ?? usual;
  return { ...asAssumed(day, usual), from: 'usual', previousMonthTemperatureC: before.temperatureC };
}

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
