import type { AnimalClass } from '../requirements/requirement-set.js';
import type { LayerBasis, LayerRole } from './layer.js';

export interface TemplateLayer {
  readonly role: LayerRole;
  /** 0 to 1; the shares of a template add up to 1. */
  readonly share: number;
}

export interface LayerTemplate {
  readonly key: string;
  readonly name: string;
  /** Classes it is meant for; empty means any. */
  readonly classes: readonly AnimalClass[];
  readonly basis: LayerBasis;
  /** Build order, bottom first. */
  readonly layers: readonly TemplateLayer[];
  readonly source: string;
}

/**
 * Starting points for laying hay in layers. They are rules of thumb; nobody published them, and no trial known to us
 * shows that layers beat the same hay mixed. An operation keeps its own beside them.
 */
export const LAYER_TEMPLATES: readonly LayerTemplate[] = [
  {
    key: 'general',
    name: 'General',
    classes: [],
    basis: 'volume',
    source: 'common practice, no source',
    layers: [
      { role: 'coarse', share: 0.4 },
      { role: 'rich', share: 0.35 },
      { role: 'mixed', share: 0.25 },
    ],
  },
  {
    key: 'growing',
    name: 'Growing calves and yearlings',
    classes: ['growing-calf', 'yearling'],
    basis: 'volume',
    source: 'common practice, no source',
    layers: [
      { role: 'coarse', share: 0.3 },
      { role: 'rich', share: 0.45 },
      { role: 'mixed', share: 0.25 },
    ],
  },
  {
    key: 'mid-gestation',
    name: 'Cows in mid-gestation',
    classes: ['dry-pregnant-cow'],
    basis: 'volume',
    source: 'common practice, no source',
    layers: [
      { role: 'coarse', share: 0.5 },
      { role: 'rich', share: 0.25 },
      { role: 'mixed', share: 0.25 },
    ],
  },
];
