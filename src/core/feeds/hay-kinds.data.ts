import type { ForageFamily } from '../forage/tdn-estimate.js';
import type { HayTexture } from '../laying/layer.js';

/** A kind of hay, and what its name alone says about it until a test says more. */
export interface HayKind {
  readonly name: string;
  readonly family: ForageFamily;
  /** Share of legume by dry matter, 0 to 1; null where the name does not tell. */
  readonly legumeShare: number | null;
  /** Plants known to accumulate nitrate when they grow under stress. */
  readonly canGatherNitrate: boolean;
  readonly isSorghum: boolean;
  readonly texture: HayTexture;
  /** The row of the book values that stands in until the lot is tested. */
  readonly bookValueKey: string;
}

const grass = (name: string, bookValueKey: string, texture: HayTexture = 'medium'): HayKind => ({
  name,
  family: 'grass',
  legumeShare: 0,
  canGatherNitrate: false,
  isSorghum: false,
  texture,
  bookValueKey,
});
const cereal = (name: string, bookValueKey: string): HayKind => ({
  name,
  family: 'cereal',
  legumeShare: 0,
  canGatherNitrate: true,
  isSorghum: false,
  texture: 'medium',
  bookValueKey,
});
const straw = (name: string, bookValueKey: string): HayKind => ({
  name,
  family: 'straw',
  legumeShare: 0,
  canGatherNitrate: true,
  isSorghum: false,
  texture: 'coarse-stemmy',
  bookValueKey,
});
const legume = (name: string, bookValueKey: string): HayKind => ({
  name,
  family: 'legume',
  legumeShare: 1,
  canGatherNitrate: false,
  isSorghum: false,
  texture: 'fragile-leafy',
  bookValueKey,
});

/**
 * Texture and legume share are common practice, no source; that cereals, sorghums and cereal straw accumulate nitrate
 * under stress is general extension teaching (for instance Clemson University Agricultural Service Laboratory,
 * Nitrate level).
 */
export const HAY_KINDS = {
  alfalfa: legume('Alfalfa', 'alfalfa-mid-bloom'),
  clover: legume('Clover', 'red-clover'),
  'alfalfa-grass': {
    name: 'Alfalfa and grass, mixed',
    family: 'mixed',
    legumeShare: 0.5,
    canGatherNitrate: false,
    isSorghum: false,
    texture: 'medium',
    bookValueKey: 'alfalfa-grass-mix',
  },
  'clover-grass': {
    name: 'Clover and grass, mixed',
    family: 'mixed',
    legumeShare: 0.5,
    canGatherNitrate: false,
    isSorghum: false,
    texture: 'medium',
    bookValueKey: 'alfalfa-grass-mix',
  },
  meadow: {
    name: 'Meadow hay',
    family: 'grass',
    legumeShare: null,
    canGatherNitrate: false,
    isSorghum: false,
    texture: 'medium',
    bookValueKey: 'meadow-hay',
  },
  brome: grass('Smooth bromegrass', 'smooth-brome-mid-bloom'),
  orchardgrass: grass('Orchardgrass', 'orchardgrass-late-bloom'),
  timothy: grass('Timothy', 'timothy-mid-bloom'),
  fescue: grass('Tall fescue', 'meadow-hay'),
  bermudagrass: grass('Bermudagrass', 'bermudagrass-late-vegetative'),
  wheatgrass: grass('Wheatgrass', 'prairie-hay', 'coarse-stemmy'),
  'native-grass': grass('Native grass', 'prairie-hay', 'coarse-stemmy'),
  'sorghum-sudan': {
    name: 'Sorghum-sudangrass',
    family: 'grass',
    legumeShare: 0,
    canGatherNitrate: true,
    isSorghum: true,
    texture: 'coarse-stemmy',
    bookValueKey: 'sorghum-sudan-hay',
  },
  millet: {
    name: 'Millet',
    family: 'grass',
    legumeShare: 0,
    canGatherNitrate: true,
    isSorghum: false,
    texture: 'medium',
    bookValueKey: 'sorghum-sudan-hay',
  },
  'oat-hay': cereal('Oat hay', 'oat-hay'),
  'barley-hay': cereal('Barley hay', 'barley-hay'),
  'wheat-hay': cereal('Wheat hay', 'oat-hay'),
  'oat-straw': straw('Oat straw', 'oat-straw'),
  'barley-straw': straw('Barley straw', 'barley-straw'),
  'wheat-straw': straw('Wheat straw', 'wheat-straw'),
  'corn-stalks': {
    name: 'Corn stalks',
    family: 'straw',
    legumeShare: 0,
    canGatherNitrate: true,
    isSorghum: false,
    texture: 'coarse-stemmy',
    bookValueKey: 'oat-straw',
  },
} as const satisfies Record<string, HayKind>;

export type HayKindCode = keyof typeof HAY_KINDS;
export const HAY_KIND_CODES = Object.keys(HAY_KINDS) as HayKindCode[];
