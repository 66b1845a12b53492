import { Injectable } from '@nestjs/common';
import { type RawBuilder, type Selectable, sql } from 'kysely';
import { MEASURED_GAIN_GUIDES } from '../../core/gain/measured-gain.data.js';
import { Mass } from '../../core/units/mass.js';
import { endOfDayIn } from '../../platform/clock.js';
import type { DB, Tenant } from '../../platform/database/types.js';
import type { HayLotRow } from '../../records/hay/lots/hay-lot.read.js';
import { type HerdRow, herdRows } from '../../records/cattle/herds/herd.read.js';
import { type KnownLabTest, LabTestRead } from '../../records/hay/lab-tests/lab-test.read.js';
import { notReversed } from '../../records/kit/not-reversed.read.js';
import { type HerdWeighIn, meanAfterShrink } from '../../records/cattle/weigh-ins/weigh-in.read.js';
import type { RationLayerRow, RationRow } from '../facts/ration-content.js';

const WINDOW_DAYS = MEASURED_GAIN_GUIDES.windowDays.value;

export interface ClientOperation extends Pick<
  Selectable<DB['operation']>,
  'id' | 'name' | 'unit_preference' | 'time_zone'
> {
  on: string;
}

/** Everything of all client operations that the portfolio judges by, each kind of record asked for once. */
export interface PortfolioRecords {
  herds: HerdRow[];
  head: ReadonlyMap<string, number>;
  /** Signed changes of head within the window of a measured gain, by herd. */
  headChanges: ReadonlyMap<string, readonly { day: string; head: number }[]>;
  weighIns: HerdWeighIn[];
  rations: RationRow[];
  layers: ReadonlyMap<string, RationLayerRow[]>;
  lots: ReadonlyMap<string, HayLotRow>;
  balances: ReadonlyMap<string, Mass>;
  tests: ReadonlyMap<string, KnownLabTest[]>;
}

/** Every query names the operations; each runs once however many herds there are. */
@Injectable()
export class PortfolioRead {
  constructor(private readonly labTests: LabTestRead) {}

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
    const head = await headOf(scope, tenant);
    const layers = await layersOf(scope, tenant);
    const lotIds = [...new Set(layers.map((layer) => layer.hay_lot_id))];
    const lots = lotIds.length === 0 ? [] : await lotsOf(scope, lotIds, tenant);
    const balances = lotIds.length === 0 ? [] : await balancesOf(scope, lotIds, tenant);
    const herds = await herdsOf(scope, tenant);
    const weighIns = await weighInsOf(scope, tenant);
    const rations = await rationsOf(scope, tenant);
    const tests = await this.labTests.known(
      tenant.db,
      operations.map((one) => ({ operationId: one.id, instant: endOfDayIn(one.time_zone, one.on).toISOString() })),
      lotIds,
    );
    return {
      herds,
      head: new Map(head.map((row) => [row.herd_id, Number(row.head)])),
      headChanges: new Map(head.map((row) => [row.herd_id, row.recent])),
      weighIns: weighIns.map((row) => ({
        herdId: row.herd_id,
        day: row.happened_on,
        head: row.head,
        mean: meanAfterShrink(row),
        fill: row.fill,
      })),
      rations,
      layers: grouped(layers, (layer) => layer.ration_id),
      lots: new Map(lots.map((lot) => [lot.id, lot])),
      balances: new Map(balances.map((row) => [row.hay_lot_id, Mass.kilograms(row.kilograms)])),
      tests,
    };
  }
}

/** The operations asked for, each with its own day. */
interface Scope {
  readonly operationIds: string[];
  /** The day of the operation that the column names. */
  readonly onDay: (column: string) => RawBuilder<string>;
}

/** The day differs where operations lie in other zones: it goes into each query as a small table beside the ids. */
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

/** Head on the day, with the changes of the last days. */
function headOf(scope: Scope, { db }: Tenant) {
  return db
    .selectFrom('head_change')
    .select([
      'herd_id',
      (e) => sql<string>`${e.fn.sum('head')}`.as('head'),
      sql<{ day: string; head: number }[]>`coalesce(json_agg(json_build_object('day', happened_on, 'head', head)
          ORDER BY happened_on) FILTER (WHERE happened_on > ${scope.onDay('head_change.operation_id')} -
          ${WINDOW_DAYS}::int), '[]')`.as('recent'),
    ])
    .where('operation_id', 'in', scope.operationIds)
    .where('happened_on', '<=', scope.onDay('head_change.operation_id'))
    .groupBy('herd_id')
    .execute();
}

/** Weighings of the last days that stand. */
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

/** Proposed, or in use on the day. */
function rationsOf(scope: Scope, { db }: Tenant) {
  return db
    .selectFrom('ration')
    .selectAll()
    .where('operation_id', 'in', scope.operationIds)
    .where((e) =>
      e.or([
        e('state', '=', 'proposed'),
        e.and([
          e('in_use_from', '<=', scope.onDay('ration.operation_id')),
          e.or([e('in_use_until', 'is', null), e('in_use_until', '>', scope.onDay('ration.operation_id'))]),
        ]),
      ]),
    )
    .orderBy('id')
    .execute();
}

/** Layers of what is in use on the day. */
function layersOf(scope: Scope, { db }: Tenant) {
  return db
    .selectFrom('ration_layer')
    .innerJoin('ration', (join) =>
      join
        .onRef('ration.operation_id', '=', 'ration_layer.operation_id')
        .onRef('ration.id', '=', 'ration_layer.ration_id')
        .onRef('ration.revision', '=', 'ration_layer.revision'),
    )
    .selectAll('ration_layer')
    .where('ration_layer.operation_id', 'in', scope.operationIds)
    .where('ration.in_use_from', 'is not', null)
    .where('ration.in_use_from', '<=', scope.onDay('ration.operation_id'))
    .where((e) =>
      e.or([e('ration.in_use_until', 'is', null), e('ration.in_use_until', '>', scope.onDay('ration.operation_id'))]),
    )
    .orderBy('ration_layer.position')
    .orderBy('ration_layer.part')
    .execute();
}

/** The lots themselves. */
function lotsOf(scope: Scope, lotIds: readonly string[], { db }: Tenant) {
  return db
    .selectFrom('hay_lot')
    .selectAll()
    .where('operation_id', 'in', scope.operationIds)
    .where('id', 'in', [...lotIds])
    .execute();
}

/** What is left of each lot at the end of the day. */
function balancesOf(scope: Scope, lotIds: readonly string[], { db }: Tenant) {
  return db
    .selectFrom('stock_movement')
    .select(['hay_lot_id', (e) => sql<string>`${e.fn.sum('kilograms')}`.as('kilograms')])
    .where('operation_id', 'in', scope.operationIds)
    .where('hay_lot_id', 'in', [...lotIds])
    .where('effective_on', '<=', scope.onDay('stock_movement.operation_id'))
    .groupBy('hay_lot_id')
    .execute();
}

function grouped<Row>(rows: readonly Row[], key: (row: Row) => string): Map<string, Row[]> {
  const groups = new Map<string, Row[]>();
  for (const row of rows) groups.set(key(row), [...(groups.get(key(row)) ?? []), row]);
  return groups;
}
