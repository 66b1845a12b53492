import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import { z } from 'zod';
import { type Books, operationsOf } from '../../platform/database/books.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { type PageAsked, readCursor } from '../../platform/http/cursor.js';
import { notFound } from '../../platform/http/problem.js';
import type { RationLayerRow, RationRow } from '../facts/ration-content.js';

type RationState = 'draft' | 'proposed' | 'accepted' | 'in-use' | 'superseded';

@Injectable()
export class RationRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<RationRow> {
    const row = await db
      .selectFrom('ration')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('ration', id);
    return row;
  }

  /** Newest first. Which are in use or over depends on today, the day at each herd's own ranch. */
  async page(
    { db, operationId, moment }: OperationTenant,
    query: PageAsked & { herdId?: string | undefined; state?: RationState | undefined },
  ): Promise<RationRow[]> {
    let select = db
      .selectFrom('ration')
      .selectAll()
      .where('operation_id', '=', operationId)
      .orderBy('id', 'desc')
      .limit(query.limit + 1);
    if (query.herdId !== undefined) select = select.where('herd_id', '=', query.herdId);
    if (query.cursor !== undefined) select = select.where('id', '<', readCursor(query.cursor, z.tuple([z.uuid()]))[0]);
    if (query.state === 'draft' || query.state === 'proposed') select = select.where('state', '=', query.state);
    else if (query.state !== undefined) {
      const today = sql<string>`(SELECT (${moment.toISOString()}::timestamptz AT TIME ZONE ranch.time_zone)::date
        FROM herd JOIN ranch ON ranch.operation_id = herd.operation_id AND ranch.id = herd.ranch_id
        WHERE herd.operation_id = ration.operation_id AND herd.id = ration.herd_id)`;
      const begun = sql<boolean>`ration.in_use_from IS NOT NULL AND ration.in_use_from <= ${today}`;
      const ended = sql<boolean>`ration.in_use_until IS NOT NULL AND ration.in_use_until <= ${today}`;
      select = select.where('state', '=', 'accepted').where(
        {
          accepted: sql<boolean>`NOT (${begun})`,
          'in-use': sql<boolean>`(${begun}) AND NOT (${ended})`,
          superseded: sql<boolean>`(${begun}) AND (${ended})`,
        }[query.state],
      );
    }
    return select.execute();
  }

  /** The other rations of its herd that were, are or will be in use for at least a day. */
  async othersInUse(
    { db, operationId }: OperationTenant,
    { id, herd_id: herdId }: Pick<RationRow, 'id' | 'herd_id'>,
  ): Promise<RationRow[]> {
    const rows = await db
      .selectFrom('ration')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('herd_id', '=', herdId)
      .where('id', '<>', id)
      .where('in_use_from', 'is not', null)
      .execute();
    return rows.filter((one) => one.in_use_until === null || (one.in_use_from ?? '') < one.in_use_until);
  }

  /** The layers of each ration's present revision, in build order. */
  async layersOf(books: Books, rations: readonly RationRow[]): Promise<Map<string, RationLayerRow[]>> {
    if (rations.length === 0) return new Map();
    const rows = await books.db
      .selectFrom('ration_layer')
      .innerJoin('ration', (join) =>
        join
          .onRef('ration.operation_id', '=', 'ration_layer.operation_id')
          .onRef('ration.id', '=', 'ration_layer.ration_id')
          .onRef('ration.revision', '=', 'ration_layer.revision'),
      )
      .selectAll('ration_layer')
      .where('ration_layer.operation_id', 'in', operationsOf(books))
      .where(
        'ration_layer.ration_id',
        'in',
        rations.map((ration) => ration.id),
      )
      .orderBy('ration_layer.position')
      .orderBy('ration_layer.part')
      .execute();
    const layers = new Map<string, RationLayerRow[]>();
    for (const row of rows) layers.set(row.ration_id, [...(layers.get(row.ration_id) ?? []), row]);
    return layers;
  }

  /** Rations that were in use on some day of [from, until], by herd, oldest first. */
  async inUseBetween(
    books: Books,
    herdIds: readonly string[],
    from: string,
    until: string,
  ): Promise<Map<string, RationRow[]>> {
    if (herdIds.length === 0) return new Map();
    const rows = await books.db
      .selectFrom('ration')
      .selectAll()
      .where('operation_id', 'in', operationsOf(books))
      .where('herd_id', 'in', [...herdIds])
      .where('in_use_from', '<=', until)
      .where((e) => e.or([e('in_use_until', 'is', null), e('in_use_until', '>', from)]))
      .where((e) => e.or([e('in_use_until', 'is', null), e('in_use_until', '>', e.ref('in_use_from'))]))
      .orderBy('in_use_from')
      .execute();
    const byHerd = new Map<string, RationRow[]>();
    for (const row of rows) byHerd.set(row.herd_id, [...(byHerd.get(row.herd_id) ?? []), row]);
    return byHerd;
  }

  /** The one ration in use on a day, by herd. */
  async inUseOn(books: Books, herdIds: readonly string[], day: string): Promise<Map<string, RationRow>> {
    const found = await this.inUseBetween(books, herdIds, day, day);
    return new Map([...found].flatMap(([herdId, rows]) => rows.slice(0, 1).map((row) => [herdId, row] as const)));
  }
}
