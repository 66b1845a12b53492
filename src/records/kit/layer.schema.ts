import { z } from 'zod';
import { LAYER_ROLES } from '../../core/laying/layer.js';

/** What a layer of hay is for, in rations, templates and feedings alike. */
export const layerRole = z
  .enum(LAYER_ROLES)
  .meta({ id: 'LayerRole', description: 'What the layer is there for: coarse roughage, rich feed, or both mixed' });
