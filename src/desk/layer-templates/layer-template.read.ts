import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import type { LayerRole } from '../../core/laying/layer.js';
import { LAYER_TEMPLATES, type LayerTemplate, type TemplateLayer } from '../../core/laying/layer-templates.data.js';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { notFound } from '../../platform/http/problem.js';

export type LayerTemplateRow = Selectable<DB['layer_template']>;

/** A layer of a stored template, with its share as typed. */
export interface KeptTemplateLayer {
  role: LayerRole;
  sharePercent: string;
}

function templateOf(row: LayerTemplateRow): LayerTemplate {
  return {
    key: row.id,
    name: row.name,
    classes: row.classes,
    basis: row.basis,
    source: "the operation's own",
    layers: (row.layers as KeptTemplateLayer[]).map(({ role, sharePercent }): TemplateLayer => ({
      role,
      share: Number(sharePercent) / 100,
    })),
  };
}

@Injectable()
export class LayerTemplateRead {
  async one({ db, operationId }: OperationTenant, id: string): Promise<LayerTemplateRow> {
    const row = await db
      .selectFrom('layer_template')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('layer template', id);
    return row;
  }

  async own({ db, operationId }: OperationTenant): Promise<LayerTemplateRow[]> {
    return db
      .selectFrom('layer_template')
      .selectAll()
      .where('operation_id', '=', operationId)
      .orderBy('name')
      .orderBy('id')
      .limit(200)
      .execute();
  }

  /** A shipped template by its key, or one of the operation's own by its id. */
  async byKey(tenant: OperationTenant, key: string): Promise<LayerTemplate | undefined> {
    const shipped = LAYER_TEMPLATES.find((one) => one.key === key);
    return (
      shipped ??
      (await this.own(tenant))
        .filter((row) => !row.retired)
        .map(templateOf)
        .find((one) => one.key === key)
    );
  }
}
