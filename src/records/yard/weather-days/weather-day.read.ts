import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import { addDays } from '../../../core/time/calendar-day.js';
import { type CoatCondition, COAT_CONDITIONS } from '../../../core/requirements/requirement-set.js';
import { type Books, operationsOf } from '../../../platform/database/books.js';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import { notFound } from '../../../platform/http/problem.js';
import { type EventsAsked, newestFirst } from '../../kit/newest-first.read.js';
import { notReversed } from '../../kit/not-reversed.read.js';

export type WeatherDayRow = Selectable<DB['weather_day']>;

/**
 * The temperature that cattle are used to is the mean of this many days before; it counts only if at least this many of
 * them were recorded.
 */
const BEFORE_DAYS = 30;
const BEFORE_DAYS_AT_LEAST = 10;

/** A month gets its own mean if at least this many of its days were recorded; common practice, no source. */
const MONTH_DAYS_AT_LEAST = 10;

/**
 * The last recorded week speaks for the days after it for this long, a season: beyond it the weather is another one;
 * common practice, no source.
 */
const WEEK_GOOD_FOR_DAYS = 92;
const WEEK_DAYS = 7;

/** Monthly means. */
export interface UsualWeather {
  temperatureC: number;
  windKmPerHour: number | null;
}

/** What is usual in the month of a day. */
export type UsualOn = (day: string) => UsualWeather | undefined;

/** Mean of the days on record in the week that ends with the newest of them. */
export interface RecordedWeek extends UsualWeather {
  /** Oldest first, at least one. */
  days: readonly string[];
  /** As on the newest of them; null if fewer than ten of the 30 days before it were recorded. */
  previousMonthTemperatureC: number | null;
}

export interface KnownWeather {
  /** Id of the entry; `null` where the weather is only assumed. */
  id: string | null;
  onDay: string;
  temperatureC: number;
  windKmPerHour: number | null;
  mudDepthCm: number | null;
  coat: CoatCondition;
}

/** State of the coat as seen, or as it follows: wet coats are matted, mud dirties the legs. */
export function coatOf(row: Pick<WeatherDayRow, 'coat' | 'wet' | 'mud_cm'>): CoatCondition {
  const seen = COAT_CONDITIONS.find((one) => one === row.coat);
  if (seen !== undefined) return seen;
  if (row.wet) return 'wet-and-matted';
  return Number(row.mud_cm ?? 0) > 0 ? 'some-mud-on-lower-body' : 'clean-and-dry';
}

/** The weather of a day, or the newest of the days before it that still speak for it; oldest first, one entry a day. */
function knownOn(days: readonly WeatherDayRow[], day: string, withinDays: number): KnownWeather | undefined {
  const row = days.findLast((one) => one.happened_on <= day);
  if (row === undefined || row.happened_on < addDays(day, -withinDays)) return undefined;
  return {
    id: row.id,
    onDay: row.happened_on,
    temperatureC: Number(row.temperature_c),
    windKmPerHour: row.wind_km_h === null ? null : Number(row.wind_km_h),
    mudDepthCm: row.mud_cm === null ? null : Number(row.mud_cm),
    coat: coatOf(row),
  };
}

/** Mean temperature of the 30 days before a day; null if fewer than ten of them were recorded. */
function monthBefore(days: readonly WeatherDayRow[], day: string): number | null {
  const before = days.filter((one) => one.happened_on < day && one.happened_on >= addDays(day, -BEFORE_DAYS));
  return before.length < BEFORE_DAYS_AT_LEAST
    ? null
    : before.reduce((sum, one) => sum + Number(one.temperature_c), 0) / before.length;
}

/** The last recorded week as known on a day; `undefined` where none of the season before it is on record. */
function lastWeekOn(days: readonly WeatherDayRow[], day: string): RecordedWeek | undefined {
  const newest = knownOn(days, day, WEEK_GOOD_FOR_DAYS);
  if (newest === undefined) return undefined;
  const week = days.filter(({ happened_on: on }) => on <= newest.onDay && on > addDays(newest.onDay, -WEEK_DAYS));
  const winds = week.flatMap(({ wind_km_h: wind }) => (wind === null ? [] : [Number(wind)]));
  const mean = (of: readonly number[]): number => of.reduce((sum, one) => sum + one, 0) / of.length;
  return {
    days: week.map((one) => one.happened_on),
    temperatureC: mean(week.map((one) => Number(one.temperature_c))),
    windKmPerHour: winds.length === 0 ? null : mean(winds),
    previousMonthTemperatureC: monthBefore(days, newest.onDay),
  };
}

/** The weather of one ranch, ready to be asked about many days. */
export interface RecordedWeather {
  /** Of a day, or the newest of the `withinDays` before it. */
  on: (day: string, withinDays?: number) => KnownWeather | undefined;
  lastWeekOn: (day: string) => RecordedWeek | undefined;
  /** Mean temperature of the 30 days before a day, °C; null if fewer than ten of them were recorded. */
  monthBefore: (day: string) => number | null;
}

@Injectable()
export class WeatherDayRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<WeatherDayRow> {
    const row = await db
      .selectFrom('weather_day')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('weather day', id);
    return row;
  }

  /** Newest first, including reversed ones. */
  async page(
    { db, operationId }: OperationTenant,
    query: EventsAsked & { ranchId?: string | undefined },
  ): Promise<WeatherDayRow[]> {
    let select = db.selectFrom('weather_day').selectAll().where('operation_id', '=', operationId);
    if (query.ranchId !== undefined) select = select.where('ranch_id', '=', query.ranchId);
    return newestFirst(select, query).execute();
  }

  /** The weather of each ranch on the days from a first one on, and of the days before that speak for these. */
  async recorded(
    books: Books,
    ranchIds: readonly string[],
    from: string,
    { withinDays = WEEK_GOOD_FOR_DAYS, until }: { withinDays?: number; until?: string } = {},
  ): Promise<Map<string, RecordedWeather>> {
    if (ranchIds.length === 0) return new Map();
    let select = books.db
      .selectFrom('weather_day')
      .selectAll('weather_day')
      .where('weather_day.operation_id', 'in', operationsOf(books))
      .where('weather_day.ranch_id', 'in', [...ranchIds])
      .where(notReversed('weather_day'))
      .where('weather_day.happened_on', '>=', addDays(from, -BEFORE_DAYS - withinDays));
    if (until !== undefined) select = select.where('weather_day.happened_on', '<=', until);
    const rows = await select
      .orderBy('weather_day.happened_on')
      .orderBy(sql`weather_day.recorded_at`)
      .orderBy('weather_day.id')
      .execute();
    return new Map(
      ranchIds.map((ranchId) => {
        // The last entry of a day is the one that counts.
        const byDay = new Map(rows.filter((row) => row.ranch_id === ranchId).map((row) => [row.happened_on, row]));
        const days = [...byDay.values()];
        return [
          ranchId,
          {
            on: (day, within = 0) => knownOn(days, day, within),
            lastWeekOn: (day) => lastWeekOn(days, day),
            monthBefore: (day) => monthBefore(days, day),
          },
        ] as const;
      }),
    );
  }

  /**
   * What is usual at each ranch in the month of a day, for any day up to a last one: the mean of that month in the
   * years before, where enough of its days were recorded. The last entry of a day is the one that counts.
   */
  async usual(books: Books, ranchIds: readonly string[], until?: string): Promise<Map<string, UsualOn>> {
    if (ranchIds.length === 0) return new Map();
    let days = books.db
      .selectFrom('weather_day')
      .distinctOn(['weather_day.ranch_id', 'weather_day.happened_on'])
      .select(['weather_day.ranch_id', 'weather_day.temperature_c', 'weather_day.wind_km_h'])
      .select(sql<string>`to_char(weather_day.happened_on, 'YYYY-MM')`.as('month'))
      .where('weather_day.operation_id', 'in', operationsOf(books))
      .where('weather_day.ranch_id', 'in', [...ranchIds])
      .where(notReversed('weather_day'))
      .orderBy('weather_day.ranch_id')
      .orderBy('weather_day.happened_on')
      .orderBy('weather_day.recorded_at', 'desc')
      .orderBy('weather_day.id', 'desc');
    if (until !== undefined) days = days.where('weather_day.happened_on', '<', `${until.slice(0, 7)}-01`);
    const months = await books.db
      .selectFrom(days.as('days'))
      .select(['ranch_id', 'month'])
      .select([
        sql<number>`count(*)::int`.as('days'),
        sql<number>`sum(temperature_c)::float8`.as('temperatures'),
        sql<number>`count(wind_km_h)::int`.as('windy'),
        sql<number>`coalesce(sum(wind_km_h), 0)::float8`.as('winds'),
      ])
      .groupBy(['ranch_id', 'month'])
      .orderBy('month')
      .execute();
    return new Map(
      ranchIds.map((ranchId) => {
        const own = months.filter((one) => one.ranch_id === ranchId);
        return [ranchId, (day) => usualIn(day.slice(0, 7), own)] as const;
      }),
    );
  }
}

/** Sums over the recorded days of one month of one year. */
interface RecordedMonth {
  month: string;
  days: number;
  temperatures: number;
  windy: number;
  winds: number;
}

/** Mean of a month in the years before; `undefined` where too few of its days are on record. */
function usualIn(month: string, recorded: readonly RecordedMonth[]): UsualWeather | undefined {
  const alike = recorded.filter((one) => one.month < month && one.month.slice(5) === month.slice(5));
  const sum = (of: (one: RecordedMonth) => number): number => alike.reduce((total, one) => total + of(one), 0);
  const [days, windy] = [sum((one) => one.days), sum((one) => one.windy)];
  if (days < MONTH_DAYS_AT_LEAST) return undefined;
  return {
    temperatureC: sum((one) => one.temperatures) / days,
    windKmPerHour: windy === 0 ? null : sum((one) => one.winds) / windy,
  };
}
