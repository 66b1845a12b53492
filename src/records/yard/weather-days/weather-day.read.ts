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
 * What cattle are used to is the mean of this many days before; it counts only where at least so many of them were
 * recorded.
 */
const BEFORE_DAYS = 30;
const BEFORE_DAYS_AT_LEAST = 10;

/** Mean temperature by month of the year, '01' to '12', °C; months that are not known are left out. */
export type MonthNormals = ReadonlyMap<string, number>;

export interface KnownWeather {
  /** The entry; `null` where the weather is only assumed. */
  id: string | null;
  onDay: string;
  temperatureC: number;
  windKmPerHour: number | null;
  mudDepthCm: number | null;
  coat: CoatCondition;
  /** Mean of the 30 days before; null where fewer than ten of them were recorded. */
  previousMonthTemperatureC: number | null;
}

/** The coat that was seen, or that follows: wet coats are matted, mud under foot dirties the legs. */
export function coatOf(row: Pick<WeatherDayRow, 'coat' | 'wet' | 'mud_cm'>): CoatCondition {
  const seen = COAT_CONDITIONS.find((one) => one === row.coat);
  if (seen !== undefined) return seen;
  if (row.wet) return 'wet-and-matted';
  return Number(row.mud_cm ?? 0) > 0 ? 'some-mud-on-lower-body' : 'clean-and-dry';
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

  /** Newest first, also those that were reversed. */
  async page(
    { db, operationId }: OperationTenant,
    query: EventsAsked & { ranchId?: string | undefined },
  ): Promise<WeatherDayRow[]> {
    let select = db.selectFrom('weather_day').selectAll().where('operation_id', '=', operationId);
    if (query.ranchId !== undefined) select = select.where('ranch_id', '=', query.ranchId);
    return newestFirst(select, query).execute();
  }

  /**
   * What the days of each month ('01' to '12') were like at each ranch in the years before a day: the mean, °C, where
   * at least ten days of the month were recorded.
   */
  async monthNormals(books: Books, ranchIds: readonly string[], before: string): Promise<Map<string, MonthNormals>> {
    if (ranchIds.length === 0) return new Map();
    const rows = await books.db
      .selectFrom('weather_day')
      .select(['weather_day.ranch_id', 'weather_day.happened_on', 'weather_day.temperature_c'])
      .where('weather_day.operation_id', 'in', operationsOf(books))
      .where('weather_day.ranch_id', 'in', [...ranchIds])
      .where(notReversed('weather_day'))
      .where('weather_day.happened_on', '<', `${before.slice(0, 7)}-01`)
      .orderBy('weather_day.happened_on')
      .orderBy(sql`weather_day.recorded_at`)
      .orderBy('weather_day.id')
      .execute();
    return new Map(
      ranchIds.map((ranchId) => {
        // The last entry of a day is the one that counts.
        const days = new Map(
          rows.filter((row) => row.ranch_id === ranchId).map((row) => [row.happened_on, Number(row.temperature_c)]),
        );
        const ofMonths = new Map<string, number[]>();
        for (const [day, celsius] of days)
          ofMonths.set(day.slice(5, 7), [...(ofMonths.get(day.slice(5, 7)) ?? []), celsius]);
        return [
          ranchId,
          new Map(
            [...ofMonths]
              .filter(([, celsius]) => celsius.length >= BEFORE_DAYS_AT_LEAST)
              .map(([month, celsius]) => [month, celsius.reduce((sum, one) => sum + one, 0) / celsius.length]),
          ),
        ];
      }),
    );
  }

  /** The weather of each ranch that stands for a day: of that day, or the newest of the `withinDays` before it. */
  async on(books: Books, ranchIds: readonly string[], day: string, withinDays = 0): Promise<Map<string, KnownWeather>> {
    if (ranchIds.length === 0) return new Map();
    const rows = await books.db
      .selectFrom('weather_day')
      .selectAll('weather_day')
      .where('weather_day.operation_id', 'in', operationsOf(books))
      .where('weather_day.ranch_id', 'in', [...ranchIds])
      .where(notReversed('weather_day'))
      .where('weather_day.happened_on', '<=', day)
      .where('weather_day.happened_on', '>=', addDays(day, -BEFORE_DAYS - withinDays))
      .orderBy('weather_day.happened_on')
      .orderBy(sql`weather_day.recorded_at`)
      .orderBy('weather_day.id')
      .execute();
    const known = new Map<string, KnownWeather>();
    for (const ranchId of ranchIds) {
      // The last entry of a day is the one that counts.
      const days = new Map(rows.filter((row) => row.ranch_id === ranchId).map((row) => [row.happened_on, row]));
      const row = [...days.values()].at(-1);
      if (row === undefined || row.happened_on < addDays(day, -withinDays)) continue;
      const before = [...days.values()].filter(
        (one) => one.happened_on < row.happened_on && one.happened_on >= addDays(row.happened_on, -BEFORE_DAYS),
      );
      known.set(ranchId, {
        id: row.id,
        onDay: row.happened_on,
        temperatureC: Number(row.temperature_c),
        windKmPerHour: row.wind_km_h === null ? null : Number(row.wind_km_h),
        mudDepthCm: row.mud_cm === null ? null : Number(row.mud_cm),
        coat: coatOf(row),
        previousMonthTemperatureC:
          before.length < BEFORE_DAYS_AT_LEAST
            ? null
            : before.reduce((sum, one) => sum + Number(one.temperature_c), 0) / before.length,
      });
    }
    return known;
  }
}
