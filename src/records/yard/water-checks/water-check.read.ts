import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import { addDays } from '../../../core/time/calendar-day.js';
import { type Books, operationsOf } from '../../../platform/database/books.js';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import { notFound } from '../../../platform/http/problem.js';
import { type EventsAsked, newestFirst } from '../../kit/newest-first.read.js';
import { notReversed } from '../../kit/not-reversed.read.js';

export type WaterCheckRow = Selectable<DB['water_check']>;

const MINUTES_PER_DAY = 1440;

/** Liters that a source supplies per day: the inflow or, if the flow is not known, one filling of the tank. */
export function supplyOf(row: Pick<WaterCheckRow, 'flow_litres_a_minute' | 'tank_litres'>): number | null {
  if (row.flow_litres_a_minute !== null) return Number(row.flow_litres_a_minute) * MINUTES_PER_DAY;
  return row.tank_litres === null ? null : Number(row.tank_litres);
}

@Injectable()
export class WaterCheckRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<WaterCheckRow> {
    const row = await db
      .selectFrom('water_check')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('water check', id);
    return row;
  }

  /** Newest first, including reversed ones. */
  async page(
    { db, operationId }: OperationTenant,
    query: EventsAsked & { placeId?: string | undefined },
  ): Promise<WaterCheckRow[]> {
    let select = db.selectFrom('water_check').selectAll().where('operation_id', '=', operationId);
    if (query.placeId !== undefined) select = select.where('place_id', '=', query.placeId);
    return newestFirst(select, query).execute();
  }

  /** The newest check of every source at each place, at most `withinDays` old on that day. */
  async latest(
    books: Books,
    placeIds: readonly string[],
    day: string,
    withinDays: number,
  ): Promise<Map<string, WaterCheckRow[]>> {
    if (placeIds.length === 0) return new Map();
    const rows = await books.db
      .selectFrom('water_check')
      .selectAll('water_check')
      .where('water_check.operation_id', 'in', operationsOf(books))
      .where('water_check.place_id', 'in', [...placeIds])
      .where(notReversed('water_check'))
      .where('water_check.happened_on', '<=', day)
      .where('water_check.happened_on', '>=', addDays(day, -withinDays))
      .orderBy('water_check.happened_on')
      .orderBy(sql`water_check.happened_at NULLS FIRST`)
      .orderBy(sql`water_check.recorded_at`)
      .orderBy('water_check.id')
      .execute();
    const byPlace = new Map<string, WaterCheckRow[]>();
    for (const placeId of placeIds) {
      const newest = new Map(rows.filter((row) => row.place_id === placeId).map((row) => [row.source_name, row]));
      if (newest.size > 0)
        byPlace.set(
          placeId,
          [...newest.values()].sort((a, b) => (a.source_name < b.source_name ? -1 : 1)),
        );
    }
    return byPlace;
  }

  /**
   * The newest analysis of every source at each place, at most `withinDays` old on that day: salts and sulfate as last
   * measured, whatever was checked since.
   */
  async analyzed(books: Books, placeIds: readonly string[], day: string, withinDays: number): Promise<WaterCheckRow[]> {
    if (placeIds.length === 0) return [];
    return books.db
      .selectFrom('water_check')
      .selectAll('water_check')
      .distinctOn(['water_check.place_id', 'water_check.source_name'])
      .where('water_check.operation_id', 'in', operationsOf(books))
      .where('water_check.place_id', 'in', [...placeIds])
      .where(notReversed('water_check'))
      .where('water_check.happened_on', '<=', day)
      .where('water_check.happened_on', '>=', addDays(day, -withinDays))
      .where((e) => e.or([e('water_check.sulfate', 'is not', null), e('water_check.dissolved_solids', 'is not', null)]))
      .orderBy('water_check.place_id')
      .orderBy('water_check.source_name')
      .orderBy('water_check.happened_on', 'desc')
      .orderBy(sql`water_check.recorded_at`, 'desc')
      .orderBy('water_check.id', 'desc')
      .execute();
  }
}
