import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import type { HerdFact } from '../../../core/standing/herd-on-file.js';
import { type Books, operationsOf } from '../../../platform/database/books.js';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import { notFound } from '../../../platform/http/problem.js';
import { type EventsAsked, newestFirst } from '../../kit/newest-first.read.js';
import { notReversed } from '../../kit/not-reversed.read.js';

export type HerdEventRow = Selectable<DB['herd_event']>;

@Injectable()
export class HerdEventRead {
  async one({ db, operationId }: OperationTenant, herdId: string, id: string): Promise<HerdEventRow> {
    const row = await db
      .selectFrom('herd_event')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('herd_id', '=', herdId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('herd event');
    return row;
  }

  /** Includes reversed ones. */
  async byId({ db, operationId }: OperationTenant, ids: readonly string[]): Promise<HerdEventRow[]> {
    if (ids.length === 0) return [];
    return db
      .selectFrom('herd_event')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', sql<string>`ANY (${[...ids]}::uuid[])`)
      .execute();
  }

  /** Newest first, including reversed ones. */
  async page(
    { db, operationId }: OperationTenant,
    herdId: string,
    query: EventsAsked & { kind?: HerdEventRow['kind'] | undefined },
  ): Promise<HerdEventRow[]> {
    let select = db
      .selectFrom('herd_event')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('herd_id', '=', herdId);
    if (query.kind !== undefined) select = select.where('kind', '=', query.kind);
    return newestFirst(select, query).execute();
  }

  /** Each herd's events that were not reversed, oldest first; as known at an instant if one is given. */
  async standing(books: Books, herdIds: readonly string[], knownAt?: string): Promise<Map<string, HerdEventRow[]>> {
    const known = new Map<string, HerdEventRow[]>(herdIds.map((id) => [id, []]));
    if (herdIds.length === 0) return known;
    let select = books.db
      .selectFrom('herd_event')
      .selectAll('herd_event')
      .where('herd_event.operation_id', 'in', operationsOf(books))
      .where('herd_event.herd_id', 'in', [...herdIds])
      .where(notReversed('herd_event', knownAt === undefined ? {} : { knownAt: sql`${knownAt}::timestamptz` }))
      .orderBy('herd_event.happened_on')
      .orderBy('herd_event.recorded_at')
      .orderBy('herd_event.id');
    if (knownAt !== undefined) select = select.where('herd_event.recorded_at', '<=', knownAt);
    for (const row of await select.execute()) known.get(row.herd_id)?.push(row);
    return known;
  }
}

/** An event as the core reads it. */
export function factOf(
  row: Pick<
    HerdEventRow,
    | 'id'
    | 'kind'
    | 'happened_on'
    | 'recorded_at'
    | 'median_on'
    | 'last_on'
    | 'service'
    | 'head_checked'
    | 'head_open'
    | 'body_condition'
    | 'cattle_class'
    | 'mass_kg'
    | 'place_id'
    | 'opening'
  >,
): HerdFact {
  const base = { id: row.id, on: row.happened_on, recordedAt: row.recorded_at, opening: row.opening };
  switch (row.kind) {
    case 'bred':
      return { ...base, kind: row.kind, lastOn: row.last_on ?? row.happened_on, service: row.service };
    case 'pregnancy-check':
      return { ...base, kind: row.kind, headChecked: row.head_checked ?? 1, headOpen: row.head_open ?? 0 };
    case 'calved':
      return { ...base, kind: row.kind, medianOn: row.median_on, lastOn: row.last_on };
    case 'weaned':
      return { ...base, kind: row.kind };
    case 'condition':
      return { ...base, kind: row.kind, score: row.body_condition === null ? null : Number(row.body_condition) };
    case 'weight':
      return { ...base, kind: row.kind, kg: Number(row.mass_kg) };
    case 'class':
      return { ...base, kind: row.kind, cattleClass: row.cattle_class ?? 'dry-open-cow' };
    case 'target-gain':
      return { ...base, kind: row.kind, kgPerDay: row.mass_kg === null ? null : Number(row.mass_kg) };
    case 'place':
      return { ...base, kind: row.kind, placeId: row.place_id };
  }
}
