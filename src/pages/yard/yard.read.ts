import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import { dayIn } from '../../platform/clock.js';
import type { Tenant } from '../../platform/database/types.js';
import { HerdStateRead } from '../../records/cattle/standing/herd-state.read.js';
import { PlaceRead } from '../../records/yard/ranches/place.read.js';
import type { OperationHead } from './yard.schema.js';

type Place = OperationHead['places'][number];

/**
 * What a person's first page shows: their operations, and which herds are where today. Each query runs once, over all
 * operations.
 */
@Injectable()
export class YardRead {
  constructor(
    private readonly states: HerdStateRead,
    private readonly places: PlaceRead,
  ) {}

  /** Name of the person asking. */
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
      mayOffice: tenant.may('office', operation.id),
      today: dayIn(operation.time_zone, tenant.moment),
      places: places.get(operation.id) ?? [],
    }));
  }

  /** Herds with cattle today, by place; today is the day at each ranch. Herds without a place come last. */
  async #places(tenant: Tenant, operationIds: readonly string[]): Promise<Map<string, Place[]>> {
    const byOperation = new Map<string, Map<string, Place>>();
    for (const { row, place: at } of await this.#whereTheyStand(tenant, operationIds)) {
      const places = byOperation.get(row.operation_id) ?? new Map<string, Place>();
      byOperation.set(row.operation_id, places);
      const key = at?.id ?? `without ${row.ranch_id}`;
      const place: Place = places.get(key) ?? {
        placeId: at?.id ?? null,
        place: at?.name ?? null,
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

  /** Each herd with cattle today and its place today, by ranch and place. */
  async #whereTheyStand(tenant: Tenant, operationIds: readonly string[]) {
    const books = { db: tenant.db, operationIds: [...operationIds] };
    const rows = await this.#herdsPresent(tenant, operationIds);
    const placeOf = new Map<string, string | null>();
    const dayAt = (row: (typeof rows)[number]): string => dayIn(row.time_zone, tenant.moment);
    for (const day of new Set(rows.map(dayAt))) {
      const herds = rows.filter((row) => dayAt(row) === day).map((row) => row.id);
      for (const [herdId, placeId] of await this.states.placesOn(books, herds, day)) placeOf.set(herdId, placeId);
    }
    const ids = [...new Set([...placeOf.values()].flatMap((id) => id ?? []))];
    const places = await this.places.byId(books, ids);
    const byName = (one: string | undefined, other: string | undefined): number =>
      one === other ? 0 : one === undefined ? 1 : other === undefined ? -1 : one < other ? -1 : 1;
    return rows
      .map((row) => ({ row, place: places.get(placeOf.get(row.id) ?? '') }))
      .sort(
        (one, other) =>
          byName(one.row.ranch, other.row.ranch) ||
          byName(one.place?.name, other.place?.name) ||
          byName(one.place?.id, other.place?.id),
      );
  }

  /** Each herd with cattle today: its head, the ration in use. */
  #herdsPresent({ db, moment }: Tenant, operationIds: readonly string[]) {
    const today = sql<string>`(${moment.toISOString()}::timestamptz AT TIME ZONE ranch.time_zone)::date`;
    return db
      .selectFrom('herd')
      .innerJoin('ranch', (join) =>
        join.onRef('ranch.operation_id', '=', 'herd.operation_id').onRef('ranch.id', '=', 'herd.ranch_id'),
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
        'ranch.id as ranch_id',
        'ranch.name as ranch',
        'ranch.time_zone',
        'present.head',
        'ration.name as ration',
      ])
      .where('herd.operation_id', 'in', [...operationIds])
      .where('present.head', '>', '0')
      .orderBy('ranch.name')
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
