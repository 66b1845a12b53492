import { Injectable } from '@nestjs/common';
import { type ChangedRow, type NewRow, thingStamp } from '../../platform/database/rows.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { Problem } from '../../platform/http/problem.js';
import type { LayerTemplateRow } from './layer-template.read.js';

@Injectable()
export class LayerTemplateStore {
  async insert(tenant: OperationTenant, template: NewRow<'layer_template'>): Promise<LayerTemplateRow> {
    return tenant.db
      .insertInto('layer_template')
      .values({ ...template, ...thingStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
  }

  /** @throws Problem changed-meanwhile where somebody else changed it first. */
  async change(
    { db, operationId }: OperationTenant,
    { id, version }: { id: string; version: number },
    changes: ChangedRow<'layer_template'>,
  ): Promise<LayerTemplateRow> {
    const after = await db
      .updateTable('layer_template')
      .set((e) => ({ ...changes, version: e('version', '+', 1) }))
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .where('version', '=', version)
      .returningAll()
      .executeTakeFirst();
    if (after === undefined) throw new Problem('changed-meanwhile');
    return after;
  }
}
