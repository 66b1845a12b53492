import { Injectable } from '@nestjs/common';
import { type RawBuilder, type Selectable, sql } from 'kysely';
import { MEASURED_GAIN_GUIDES } from '../../core/gain/measured-gain.data.js';
import { type DatedEntry, whatStands } from '../../core/time/what-stands.js';
import { together } from '../../platform/database/together.js';
import type { DB, Tenant } from '../../platform/database/types.js';
import { type HerdRow, herdRows } from '../../records/cattle/herds/herd.read.js';
import { groupedBy } from '../facts/grouped-by.js';
import { notReversed } from '../../records/kit/not-reversed.read.js';
import { toldInPlace } from '../../records/kit/told-in-place.read.js';
import { type HerdWeighIn, meanAfterShrink } from '../../records/cattle/weigh-ins/weigh-in.read.js';

const WINDOW_DAYS = MEASURED_GAIN_GUIDES.windowDays.value;

export interface ClientOperation extends Pick<
  Selectable<DB['operation']>,
  'id' | 'name' | 'unit_preference' | 'time_zone'
> {
  on: string;
}

/**
 * What the portfolio reads from all client operations besides the facts of the herds, one query for each kind of
 * record.
 */
export interface PortfolioRecords {
  herds: HerdRow[];
  head: ReadonlyMap<string, number>;
  /** Signed changes of head within the window of a measured gain, by herd. */
  headChanges: ReadonlyMap<string, readonly { day: string; head: number }[]>;
  /** By herd. */
  weighIns: ReadonlyMap<string, readonly HerdWeighIn[]>;
  /** Rations waiting for the ranch's answer, by herd. */
  proposed: ReadonlyMap<string, number>;
}

/** Every query names the operations; each runs once however many herds there are. */
@Injectable()
export class PortfolioRead {
  async operations(
    { db }: Tenant,
    operationIds: readonly string[],
  ): Promise<Pick<Selectable<DB['operation']>, 'id' | 'name' | 'unit_preference' | 'time_zone'>[]> {
    if (operationIds.length === 0) return [];
    return db
      .selectFrom('operation')
      .select(['id', 'name', 'unit_preference', 'time_zone'])
      .where('id', 'in', [...operationIds])
      .execute();
  }

  async records(tenant: Tenant, operations: readonly ClientOperation[]): Promise<PortfolioRecords> {
    const scope = scopeOf(operations);
    const [head, herds, weighIns, proposed] = await together(
      headOf(scope, tenant),
      herdsOf(scope, tenant),
      weighInsOf(scope, tenant),
      proposedOf(scope, tenant),
    );
    return {
      herds,
      head: new Map(head.map((row) => [row.herd_id, Number(row.head)])),
      // A reversal whose record is of an earlier day is gone with it: what stands today was never otherwise.
      headChanges: new Map(
        head.map((row) => [
          row.herd_id,
          whatStands(row.recent)
            .standing.filter((one) => one.reversesId === null)
            .map(({ on, head: changed }) => ({ day: on, head: changed })),
        ]),
      ),
      weighIns: groupedBy(
        weighIns.map((row) => ({
          herdId: row.herd_id,
          day: row.happened_on,
          head: row.head,
          mean: meanAfterShrink(row),
          fill: row.fill,
        })),
        (one) => one.herdId,
      ),
      proposed: new Map(proposed.map((row) => [row.herd_id, Number(row.rations)])),
    };
  }
}

/** The operations asked for, each with its own day. */
interface Scope {
  readonly operationIds: string[];
  /** The day for the operation in this column. */
  readonly onDay: (column: string) => RawBuilder<string>;
}

/** The day differs between time zones, so it goes into each query as a small table beside the ids. */
function scopeOf(operations: readonly ClientOperation[]): Scope {
  const operationIds = operations.map((one) => one.id);
  return {
    operationIds,
    onDay: (column) =>
      sql<string>`(SELECT d.on_day FROM unnest(${operationIds}::uuid[],
        ${operations.map((one) => one.on)}::date[]) AS d (operation_id, on_day)
        WHERE d.operation_id = ${sql.ref(column)})`,
  };
}

/** Every herd. */
function herdsOf(scope: Scope, { db }: Tenant) {
  return herdRows({ db }).where('operation_id', 'in', scope.operationIds).orderBy('id').execute();
}

interface HeadThen extends DatedEntry {
  head: number;
}

/** Head on the day, with the changes of the last days as they were entered. */
function headOf(scope: Scope, { db }: Tenant) {
  return db
    .selectFrom('head_change')
    .select([
      'herd_id',
      (e) => sql<string>`${e.fn.sum('head')}`.as('head'),
      sql<HeadThen[]>`coalesce(json_agg(json_build_object('id', id, 'on', happened_on,
          'toldOn', ${toldInPlace('head_change')}, 'head', head, 'reversesId', reverses_id) ORDER BY happened_on)
          FILTER (WHERE happened_on > ${scope.onDay('head_change.operation_id')} - ${WINDOW_DAYS}::int), '[]')`.as(
        'recent',
      ),
    ])
    .where('operation_id', 'in', scope.operationIds)
    .where('happened_on', '<=', scope.onDay('head_change.operation_id'))
    .groupBy('herd_id')
    .execute();
}

/** Weighings of the last days that were not reversed. */
function weighInsOf(scope: Scope, { db }: Tenant) {
  return db
    .selectFrom('weigh_in')
    .selectAll('weigh_in')
    .where('weigh_in.operation_id', 'in', scope.operationIds)
    .where(notReversed('weigh_in'))
    .where('weigh_in.happened_on', '<=', scope.onDay('weigh_in.operation_id'))
    .where('weigh_in.happened_on', '>=', sql<string>`${scope.onDay('weigh_in.operation_id')} - ${WINDOW_DAYS}::int`)
    .orderBy('weigh_in.happened_on')
    .orderBy('weigh_in.id')
    .execute();
}

/** How many rations of each herd wait for the ranch's answer. */
function proposedOf(scope: Scope, { db }: Tenant) {
  return db
    .selectFrom('ration')
    .select(['herd_id', (e) => e.fn.countAll<string>().as('rations')])
    .where('operation_id', 'in', scope.operationIds)
    .where('state', '=', 'proposed')
    .groupBy('herd_id')
    .execute();
}
