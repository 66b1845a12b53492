import { Injectable } from '@nestjs/common';
import { LAYER_TEMPLATES } from '../../core/laying/layer-templates.data.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { changedFields } from '../../records/kit/changed-fields.js';
import { type KeptTemplateLayer, LayerTemplateRead, type LayerTemplateRow } from './layer-template.read.js';
import type * as api from './layer-template.schema.js';
import { LayerTemplateStore } from './layer-template.store.js';

type Answer = AnswerOf<typeof api.getLayerTemplate>;

@Injectable()
export class LayerTemplateService {
  constructor(
    private readonly templates: LayerTemplateRead,
    private readonly store: LayerTemplateStore,
  ) {}

  async list(tenant: OperationTenant): Promise<AnswerOf<typeof api.listLayerTemplates>> {
    return {
      items: [
        ...LAYER_TEMPLATES.map(({ key, name, classes, basis, layers, source }) => ({
          key,
          id: null,
          name,
          classes: [...classes],
          basis,
          source,
          shipped: true,
          retired: false,
          note: null,
          layers: layers.map(({ role, share }) => ({ role, sharePercent: String(Number((share * 100).toFixed(6))) })),
        })),
        ...(await this.templates.own(tenant)).map(templateAnswer),
      ],
    };
  }

  async create(tenant: OperationTenant, { body }: InputOf<typeof api.createLayerTemplate>): Promise<Answer> {
    const row = await this.store.insert(tenant, {
      name: body.name,
      classes: body.classes,
      basis: body.basis,
      layers: JSON.stringify(body.layers),
      note: body.note ?? null,
    });
    await tenant.audit({
      action: 'layer-template.create',
      subjectKind: 'layer-template',
      subjectId: row.id,
      after: row,
    });
    return templateAnswer(row);
  }

  async get(tenant: OperationTenant, { params }: InputOf<typeof api.getLayerTemplate>): Promise<Answer> {
    return templateAnswer(await this.templates.one(tenant, params.layerTemplateId));
  }

  async change(
    tenant: OperationTenant,
    { params, body, expectedVersion }: InputOf<typeof api.changeLayerTemplate>,
  ): Promise<Answer> {
    const before = await this.templates.one(tenant, params.layerTemplateId);
    const after = await this.store.change(
      tenant,
      { id: before.id, version: expectedVersion },
      changedFields({
        name: body.name,
        classes: body.classes,
        basis: body.basis,
        layers: body.layers === undefined ? undefined : JSON.stringify(body.layers),
        note: body.note,
        retired: body.retired,
      }),
    );
    await tenant.audit({
      action: 'layer-template.change',
      subjectKind: 'layer-template',
      subjectId: after.id,
      before,
      after,
    });
    return templateAnswer(after);
  }
}

function templateAnswer(row: LayerTemplateRow): Answer {
  return {
    key: row.id,
    id: row.id,
    name: row.name,
    classes: row.classes,
    basis: row.basis,
    source: "the operation's own",
    shipped: false,
    retired: row.retired,
    note: row.note,
    layers: row.layers as KeptTemplateLayer[],
    createdAt: row.created_at,
    version: row.version,
  };
}
