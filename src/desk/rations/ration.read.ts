import { Injectable } from '@nestjs/common';
import type { OperationTenant } from '../../platform/database/types.js';
import { notFound } from '../../platform/http/problem.js';
import type { RationLayerRow, RationRow } from './ration-content.js';

@Injectable()
export class RationRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<RationRow> {
    const row = await db.selectFrom('ration').selectAll().where('operation_id', '=', operationId).where('id', '=', id).executeTakeFirst();
    if (row === undefined) throw notFound('ration');
    return row;
  }

  /** The layers of each ration's present revision, in build order. */
  async layersOf({ db, operationId }: OperationTenant, rations: readonly RationRow[]): Promise<Map<string, RationLayerRow[]>> {
    if (rations.length === 0) return new Map();
    const rows = await db.selectFrom('ration_layer')
      .innerJoin('ration', (join) => join.onRef('ration.operation_id', '=', 'ration_layer.operation_id').onRef('ration.id', '=', 'ration_layer.ration_id').onRef('ration.revision', '=', 'ration_layer.revision'))
      .selectAll('ration_layer').where('ration_layer.operation_id', '=', operationId).where('ration_layer.ration_id', 'in', rations.map((ration) => ration.id))
      .orderBy('ration_layer.position').orderBy('ration_layer.part').execute();
    const layers = new Map<string, RationLayerRow[]>();
    for (const row of rows) layers.set(row.ration_id, [...(layers.get(row.ration_id) ?? []), row]);
    return layers;
  }

  /** Rations that were in use on some day of [from, until], by herd, oldest first. */
  async inUseBetween({ db, operationId }: OperationTenant, herdIds: readonly string[], from: string, until: string): Promise<Map<string, RationRow[]>> {
    if (herdIds.length === 0) return new Map();
    const rows = await db.selectFrom('ration').selectAll().where('operation_id', '=', operationId).where('herd_id', 'in', [...herdIds])
      .where('in_use_from', '<=', until).where((e) => e.or([e('in_use_until', 'is', null), e('in_use_until', '>', from)]))
      .where((e) => e.or([e('in_use_until', 'is', null), e('in_use_until', '>', e.ref('in_use_from'))])).orderBy('in_use_from').execute();
    const byHerd = new Map<string, RationRow[]>();
    for (const row of rows) byHerd.set(row.herd_id, [...(byHerd.get(row.herd_id) ?? []), row]);
    return byHerd;
  }

  /** The one ration in use on a day, by herd. */
  async inUseOn(tenant: OperationTenant, herdIds: readonly string[], day: string): Promise<Map<string, RationRow>> {
    const found = await this.inUseBetween(tenant, herdIds, day, day);
    return new Map([...found].flatMap(([herdId, rows]) => rows.slice(0, 1).map((row) => [herdId, row] as const)));
  }
}
