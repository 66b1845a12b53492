import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import { dayIn } from '../../platform/clock.js';
import type { Tenant } from '../../platform/database/types.js';
import { lastTold } from '../../records/cattle/herds/last-told.read.js';
import type { OperationHead } from './yard.schema.js';

type Place = OperationHead['places'][number];

/**
 * What a person's first page shows: where they belong, and which herds stand where today. Each question is asked once,
 * over all operations.
 */
@Injectable()
export class YardRead {
  /** What the person asking is called. */
  async ownName({ db, personId }: Tenant): Promise<string> {
    return (await db.selectFrom('person').select('name').where('id', '=', personId).executeTakeFirstOrThrow()).name;
  }

  async heads(tenant: Tenant, operationIds: readonly string[]): Promise<OperationHead[]> {
    if (operationIds.length === 0) return [];
    const operations = await tenant.db
      .selectFrom('operation')
      .select(['id', 'name', 'invented', 'time_zone'])
      .where('id', 'in', [...operationIds])
      .orderBy('name')
      .orderBy('id')
      .execute();
    const places = await this.#places(tenant, operationIds);
    return operations.map((operation) => ({
      id: operation.id,
      name: operation.name,
      role: tenant.memberships.find((one) => one.operationId === operation.id)?.role ?? '',
      invented: operation.invented,
      seesPrices: tenant.may('prices', operation.id),
      today: dayIn(operation.time_zone, tenant.moment),
      places: places.get(operation.id) ?? [],
    }));
  }

  /** Herds with cattle today, by place; today is the day at each ranch. Herds without a place come last. */
  async #places(tenant: Tenant, operationIds: readonly string[]): Promise<Map<string, Place[]>> {
    const byOperation = new Map<string, Map<string, Place>>();
    for (const row of await this.#herdsPresent(tenant, operationIds)) {
      const places = byOperation.get(row.operation_id) ?? new Map<string, Place>();
      byOperation.set(row.operation_id, places);
      const key = row.place_id ?? `without ${row.ranch_id}`;
      const place: Place = places.get(key) ?? {
        placeId: row.place_id,
        place: row.place,
        ranch: row.ranch,
        onDay: dayIn(row.time_zone, tenant.moment),
        herds: [],
      };
      places.set(key, place);
      place.herds.push({ herdId: row.id, herd: row.name, head: Number(row.head), ration: row.ration });
    }
    return new Map(
      [...byOperation].map(([operationId, places]) => [
        operationId,
        [...places.values()].sort((one, other) => Number(one.placeId === null) - Number(other.placeId === null)),
      ]),
    );
  }

  /** Each herd with cattle today: its place, its head, the ration in use. */
  #herdsPresent({ db, moment }: Tenant, operationIds: readonly string[]) {
    const today = sql<string>`(${moment.toISOString()}::timestamptz AT TIME ZONE ranch.time_zone)::date`;
    return db
      .selectFrom('herd')
      .innerJoin('ranch', (join) =>
        join.onRef('ranch.operation_id', '=', 'herd.operation_id').onRef('ranch.id', '=', 'herd.ranch_id'),
      )
      .leftJoin('place', (join) =>
        join
          .onRef('place.operation_id', '=', 'herd.operation_id')
          .on('place.id', '=', lastTold<string>('place', 'place_id')),
      )
      .leftJoin('ration', (join) =>
        join
          .onRef('ration.operation_id', '=', 'herd.operation_id')
          .onRef('ration.herd_id', '=', 'herd.id')
          .on('ration.in_use_from', '<=', today)
          .on((e) => e.or([e('ration.in_use_until', 'is', null), e('ration.in_use_until', '>', today)])),
      )
      .innerJoin(headCounted({ db, moment }, operationIds), (join) =>
        join.onRef('present.operation_id', '=', 'herd.operation_id').onRef('present.herd_id', '=', 'herd.id'),
      )
      .select([
        'herd.operation_id',
        'herd.id',
        'herd.name',
        'place.id as place_id',
        'place.name as place',
        'ranch.id as ranch_id',
        'ranch.name as ranch',
        'ranch.time_zone',
        'present.head',
        'ration.name as ration',
      ])
      .where('herd.operation_id', 'in', [...operationIds])
      .where('present.head', '>', '0')
      .orderBy('ranch.name')
      .orderBy('place.name')
      .orderBy('place.id')
      .orderBy('herd.name')
      .orderBy('herd.id')
      .execute();
  }
}

/** Head of each herd today: the sum of its changes up to the day at its ranch. */
function headCounted({ db, moment }: Pick<Tenant, 'db' | 'moment'>, operationIds: readonly string[]) {
  const today = sql<string>`(${moment.toISOString()}::timestamptz AT TIME ZONE "at".time_zone)::date`;
  return db
    .selectFrom('head_change')
    .innerJoin('herd as counted', (join) =>
      join
        .onRef('counted.operation_id', '=', 'head_change.operation_id')
        .onRef('counted.id', '=', 'head_change.herd_id'),
    )
    .innerJoin('ranch as at', (join) =>
      join.onRef('at.operation_id', '=', 'counted.operation_id').onRef('at.id', '=', 'counted.ranch_id'),
    )
    .select(['head_change.operation_id', 'head_change.herd_id', sql<string>`sum(head_change.head)`.as('head')])
    .where('head_change.operation_id', 'in', [...operationIds])
    .where('head_change.happened_on', '<=', today)
    .groupBy(['head_change.operation_id', 'head_change.herd_id'])
    .as('present');
}
