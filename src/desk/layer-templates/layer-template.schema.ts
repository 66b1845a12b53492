import { z } from 'zod';
import { figureText } from '../../core/units/decimal.js';
import { layerRole } from '../../records/kit/layer.schema.js';
import { LAYER_BASES } from '../../core/laying/layer.js';
import { ANIMAL_CLASSES } from '../../core/requirements/requirement-set.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { id, instantOut, name, note, operationParams, version } from '../../platform/wire/common.schema.js';

const basis = z.enum(LAYER_BASES).describe('What the shares are shares of: volume, weight as fed or dry matter');
const classes = z
  .array(z.enum(ANIMAL_CLASSES))
  .max(ANIMAL_CLASSES.length)
  .describe('Classes of cattle it is meant for; empty for any');
const share = z
  .union([z.string(), z.number()])
  .transform(String)
  .refine(
    (value) => figureText({ digits: 3, places: 3 }).test(value) && Number(value) > 0 && Number(value) <= 100,
    'must be above 0 and at most 100, with at most three decimal places',
  )
  .describe('Share of this layer in the ration, %, on the basis of the template');
const layersIn = z
  .array(z.strictObject({ role: layerRole, sharePercent: share }))
  .min(1)
  .max(12)
  .refine(
    (layers) => Math.abs(layers.reduce((sum, one) => sum + Number(one.sharePercent), 0) - 100) < 0.0005,
    'shares must add up to 100',
  )
  .describe('In build order, bottom first; shares add up to 100');
const layersOut = z
  .array(
    z.object({
      role: layerRole,
      sharePercent: z.string().describe('Share of this layer in the ration, %, on the basis of the template'),
    }),
  )
  .describe('In build order, bottom first');

const template = z
  .object({
    key: z.string().describe('The key by which a ration names the template'),
    id: id.describe('Null for a shipped template').nullable(),
    name: z.string().describe('Name of the template'),
    classes,
    basis,
    layers: layersOut,
    source: z.string().describe('Where it comes from'),
    shipped: z.boolean().describe('True if it is shipped with Rickyard'),
    retired: z.boolean().describe('True if it is no longer offered'),
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
  })
  .meta({
    id: 'LayerTemplate',
    description:
      'A way of laying: shares by role, in build order. A starting point, not a proof: no trial known here ' +
      'shows that layers beat the same hay mixed',
  });
const ownTemplate = template
  .extend({ id, createdAt: instantOut, version })
  .meta({ id: 'OwnLayerTemplate', description: "A layer template of the operation's own" });
const params = operationParams.extend({ layerTemplateId: id });
const tag = 'Rations';

export const listLayerTemplates = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/layer-templates',
  operationId: 'listLayerTemplates',
  tag,
  access: 'read',
  summary: "Layer templates: the shipped ones and the operation's own",
  params: operationParams,
  answer: z.object({ items: z.array(template).describe('All of them; the list is not paged') }),
});
export const createLayerTemplate = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/layer-templates',
  operationId: 'createLayerTemplate',
  tag,
  access: 'desk',
  summary: "Save a layer template of the operation's own",
  params: operationParams,
  body: z.strictObject({ name, classes: classes.default([]), basis, layers: layersIn, note: note.optional() }),
  answer: ownTemplate,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/layer-templates/${created.id}`,
  versioned: true,
});
export const getLayerTemplate = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/layer-templates/:layerTemplateId',
  operationId: 'getLayerTemplate',
  tag,
  access: 'read',
  summary: "One of the operation's own layer templates",
  params,
  answer: ownTemplate,
  versioned: true,
});
export const changeLayerTemplate = endpoint({
  method: 'PATCH',
  path: '/v1/operations/:operationId/layer-templates/:layerTemplateId',
  operationId: 'changeLayerTemplate',
  tag,
  access: 'desk',
  summary: "Change one of the operation's own layer templates",
  description: 'Rations made from it stay as they are.',
  params,
  body: z.strictObject({
    name: name.optional(),
    classes: classes.optional(),
    basis: basis.optional(),
    layers: layersIn.optional(),
    note: note.nullable().optional(),
    retired: z.boolean().optional().describe('true if it is no longer offered'),
  }),
  answer: ownTemplate,
  changes: true,
  versioned: true,
});
