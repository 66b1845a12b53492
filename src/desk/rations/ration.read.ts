import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import { z } from 'zod';
import type { OperationTenant } from '../../platform/database/types.js';
import { type PageAsked, readCursor } from '../../platform/http/cursor.js';
import { notFound } from '../../platform/http/problem.js';
import type { RationRow } from '../facts/ration-content.js';
import { RationsInUseRead } from '../facts/rations-in-use.read.js';

type RationState = 'draft' | 'proposed' | 'accepted' | 'in-use' | 'superseded';

@Injectable()
export class RationRead extends RationsInUseRead {
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
}
