import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import { compareDays } from '../../../core/time/calendar-day.js';
import { type DatedEntry, whatStands } from '../../../core/time/what-stands.js';
import { dayIn } from '../../../platform/clock.js';
import { type Books, operationsOf } from '../../../platform/database/books.js';
import type { DB, OperationTenant, Words } from '../../../platform/database/types.js';
import type { PageAsked } from '../../../platform/http/cursor.js';
import { notFound } from '../../../platform/http/problem.js';
import { toldInPlace } from '../../kit/told-in-place.read.js';
import { byName } from '../../kit/name-order.read.js';
import { lastRecorded } from './last-recorded.read.js';
import { RanchRead } from '../../yard/ranches/ranch.read.js';

/** A herd with its latest class and place. Its state tells what it is on any other day. */
export type HerdRow = Selectable<DB['herd']> & Pick<StatedHerd, 'cattle_class' | 'place_id'>;

interface StatedHerd {
  cattle_class: Words['AnimalClass'];
  place_id: string | null;
}

/** Herd rows, not yet filtered. */
export function herdRows({ db }: Pick<Books, 'db'>) {
  return db
    .selectFrom('herd')
    .selectAll('herd')
    .select([
      lastRecorded<StatedHerd['cattle_class']>('class', 'cattle_class').as('cattle_class'),
      lastRecorded<StatedHerd['place_id']>('place', 'place_id').as('place_id'),
    ]);
}

/** A head change as it was entered; what counts of them for some days tells `whatStands`. */
export interface HerdHeadChange extends DatedEntry {
  herdId: string;
  head: number;
  kind: string;
  meanWeightKg: string | null;
}

/** Questions about herds that reports and other modules ask. */
@Injectable()
export class HerdRead {
  constructor(private readonly ranches: RanchRead) {}

  async one({ db, operationId }: OperationTenant, herdId: string): Promise<HerdRow> {
    const row = await herdRows({ db })
      .where('operation_id', '=', operationId)
      .where('id', '=', herdId)
      .executeTakeFirst();
    if (row === undefined) throw notFound('herd', herdId);
    return row;
  }

  async page(
    { db, operationId }: OperationTenant,
    query: PageAsked & { ranchId?: string | undefined },
  ): Promise<HerdRow[]> {
    let select = herdRows({ db }).where('operation_id', '=', operationId);
    if (query.ranchId !== undefined) select = select.where('ranch_id', '=', query.ranchId);
    return byName(select, query).execute();
  }

  /** Those of these herds that exist. */
  async byId({ db, operationId }: OperationTenant, ids: readonly string[]): Promise<Map<string, HerdRow>> {
    if (ids.length === 0) return new Map();
    const rows = await herdRows({ db })
      .where('operation_id', '=', operationId)
      .where('id', 'in', [...new Set(ids)])
      .execute();
    return new Map(rows.map((row) => [row.id, row]));
  }

  async all({ db, operationId }: OperationTenant): Promise<HerdRow[]> {
    return herdRows({ db }).where('operation_id', '=', operationId).orderBy('name').orderBy('id').execute();
  }

  async headOn(books: Books, herdIds: readonly string[], day: string): Promise<Map<string, number>> {
    if (herdIds.length === 0) return new Map();
    const rows = await books.db
      .selectFrom('head_change')
      .select(['herd_id', (e) => sql<string>`${e.fn.sum('head')}`.as('head')])
      .where('operation_id', 'in', operationsOf(books))
      .where('herd_id', 'in', [...herdIds])
      .where('happened_on', '<=', day)
      .groupBy('herd_id')
      .execute();
    return new Map(rows.map((row) => [row.herd_id, Number(row.head)]));
  }

  /** Head of herds at the end of days, as many as are asked about. */
  async headOnDays(
    { db, operationId }: OperationTenant,
    asked: readonly { herdId: string; day: string }[],
  ): Promise<(herdId: string, day: string) => number> {
    const keyOf = (herdId: string, day: string): string => `${herdId} ${day}`;
    const once = [...new Map(asked.map((one) => [keyOf(one.herdId, one.day), one])).values()];
    const { rows } = await sql<{ herd_id: string; day: string; head: string | null }>`
      SELECT asked.herd_id, asked.day, (SELECT sum(c.head) FROM head_change c WHERE c.operation_id = ${operationId}
          AND c.herd_id = asked.herd_id AND c.happened_on <= asked.day) AS head
        FROM unnest(${once.map((one) => one.herdId)}::uuid[], ${once.map((one) => one.day)}::date[])
          AS asked (herd_id, day)`.execute(db);
    const head = new Map(rows.map((row) => [keyOf(row.herd_id, row.day), Number(row.head ?? 0)]));
    return (herdId, day) => head.get(keyOf(herdId, day)) ?? 0;
  }

  /** Head of each herd on any day up to the last one asked about, by what stands at its end. */
  async headThrough(
    books: Books,
    herdIds: readonly string[],
    until: string,
  ): Promise<(herdId: string, day: string) => number> {
    if (herdIds.length === 0) return () => 0;
    const rows = await books.db
      .selectFrom('head_change')
      .select(['id', 'herd_id', 'happened_on as on', 'head', 'reverses_id as reversesId'])
      .select(toldInPlace('head_change').as('toldOn'))
      .where('operation_id', 'in', operationsOf(books))
      .where('herd_id', 'in', [...herdIds])
      .where('happened_on', '<=', until)
      .execute();
    const { standing } = whatStands(rows, { until });
    return (herdId, day) =>
      standing.filter((row) => row.herd_id === herdId && row.on <= day).reduce((sum, row) => sum + row.head, 0);
  }

  /**
   * The most head that a herd can have had on a day: includes cattle that left that day; before its first head change,
   * where nobody knows, the most that it ever had. Empty if it never had any.
   */
  async mostHeadOn(tenant: OperationTenant, herdId: string, day: string): Promise<number | undefined> {
    const changes = await this.changes(tenant, [herdId]);
    const there = changes
      .filter((change) => change.on < day || (change.on === day && change.head > 0))
      .reduce((sum, change) => sum + change.head, 0);
    if (there > 0) return there;
    let head = 0;
    const most = Math.max(0, ...changes.map((change) => (head += change.head)));
    return most > 0 ? most : undefined;
  }

  /** Today at each ranch, by the ranch's id. */
  async todayAt(tenant: OperationTenant): Promise<Map<string, string>> {
    const timeZones = await this.ranches.timeZones(tenant);
    return new Map([...timeZones].map(([ranchId, zone]) => [ranchId, dayIn(zone, tenant.moment)]));
  }

  /** Head today, where "today" is the day at each herd's own ranch; and that day by ranch. */
  async headToday(
    tenant: OperationTenant,
    herds: readonly Pick<HerdRow, 'id' | 'ranch_id'>[],
  ): Promise<{ head: Map<string, number>; today: Map<string, string> }> {
    const dayAt = await this.todayAt(tenant);
    const head = new Map<string, number>();
    for (const day of new Set(dayAt.values())) {
      const there = herds.filter((herd) => dayAt.get(herd.ranch_id) === day).map((herd) => herd.id);
      for (const [id, count] of await this.headOn(tenant, there, day)) head.set(id, count);
    }
    return { head, today: dayAt };
  }

  /** Head changes that stand at the end of a day, with all that come after it; without a day, those that stand now. */
  async changes(tenant: OperationTenant, herdIds: readonly string[], until?: string): Promise<HerdHeadChange[]> {
    const { standing } = whatStands(await this.entered(tenant, herdIds), { until });
    return standing.toSorted((one, other) => compareDays(one.on, other.on));
  }

  /** Head changes as they were entered, with what was reversed and its reversals, oldest first. */
  async entered({ db, operationId }: OperationTenant, herdIds: readonly string[] | 'all'): Promise<HerdHeadChange[]> {
    if (herdIds.length === 0) return [];
    let select = db
      .selectFrom('head_change')
      .select(['id', 'herd_id', 'happened_on', 'head', 'kind', 'mean_weight_kg', 'reverses_id'])
      .select(toldInPlace('head_change').as('toldOn'))
      .where('operation_id', '=', operationId);
    if (herdIds !== 'all') select = select.where('herd_id', 'in', [...herdIds]);
    const rows = await select.orderBy('happened_on').orderBy('id').execute();
    return rows.map((row) => ({
      id: row.id,
      herdId: row.herd_id,
      on: row.happened_on,
      toldOn: row.toldOn,
      reversesId: row.reverses_id,
      head: row.head,
      kind: row.kind,
      meanWeightKg: row.mean_weight_kg,
    }));
  }
}
