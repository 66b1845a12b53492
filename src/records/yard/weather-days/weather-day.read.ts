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

/** Monthly means. */
export interface UsualWeather {
  temperatureC: number;
  windKmPerHour: number | null;
}

export interface KnownWeather {
  /** Id of the entry; `null` where the weather is only assumed. */
  id: string | null;
  onDay: string;
  temperatureC: number;
  windKmPerHour: number | null;
  mudDepthCm: number | null;
  coat: CoatCondition;
  /** Mean of the 30 days before; null if fewer than ten of them were recorded. */
  previousMonthTemperatureC: number | null;
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
  const before = days.filter(
    (one) => one.happened_on < row.happened_on && one.happened_on >= addDays(row.happened_on, -BEFORE_DAYS),
  );
  return {
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
  };
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

  /** The weather used for each ranch on a day: of that day, or the newest of the `withinDays` before it. */
  async on(books: Books, ranchIds: readonly string[], day: string, withinDays = 0): Promise<Map<string, KnownWeather>> {
    const recorded = await this.recorded(books, ranchIds, day, { withinDays, until: day });
    return new Map(
      ranchIds.flatMap((ranchId) => {
        const known = recorded.get(ranchId)?.(day, withinDays);
        return known === undefined ? [] : [[ranchId, known] as const];
      }),
    );
  }

  /** The same for any day from a first one on. */
  async recorded(
    books: Books,
    ranchIds: readonly string[],
    from: string,
    { withinDays = 0, until }: { withinDays?: number; until?: string } = {},
  ): Promise<Map<string, (day: string, withinDays?: number) => KnownWeather | undefined>> {
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
        const days = new Map(rows.filter((row) => row.ranch_id === ranchId).map((row) => [row.happened_on, row]));
        return [ranchId, (day, within = 0) => knownOn([...days.values()], day, within)] as const;
      }),
    );
  }

  /** Means of each month at each ranch over the days before a given one; months with too few days are left out. */
  async usualByMonth(
    books: Books,
    ranchIds: readonly string[],
    before: string,
  ): Promise<Map<string, ReadonlyMap<number, UsualWeather>>> {
    if (ranchIds.length === 0) return new Map();
    const rows = await books.db
      .selectFrom('weather_day')
      .select([
        'weather_day.ranch_id',
        sql<number>`extract(month from weather_day.happened_on)::int`.as('month'),
        sql<number>`avg(weather_day.temperature_c)::float8`.as('temperature'),
        sql<number | null>`avg(weather_day.wind_km_h)::float8`.as('wind'),
      ])
      .where('weather_day.operation_id', 'in', operationsOf(books))
      .where('weather_day.ranch_id', 'in', [...ranchIds])
      .where(notReversed('weather_day'))
      .where('weather_day.happened_on', '<', before)
      .groupBy(['weather_day.ranch_id', 'month'])
      .having(sql<number>`count(DISTINCT weather_day.happened_on)`, '>=', MONTH_DAYS_AT_LEAST)
      .execute();
    return new Map(
      ranchIds.map((ranchId) => [
        ranchId,
        new Map(
          rows
            .filter((row) => row.ranch_id === ranchId)
            .map((row) => [row.month, { temperatureC: row.temperature, windKmPerHour: row.wind }]),
        ),
      ]),
    );
  }
}
