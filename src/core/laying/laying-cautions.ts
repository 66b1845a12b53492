import { counted } from '../units/counted.js';
import { quantity, sentence } from '../units/wording.js';
import { CAUTIONS } from '../cautions/cautions.data.js';
import { raiseIfPassed, type RaisedCaution } from '../cautions/caution.js';
import { legumeBloatCautions } from '../cautions/rumen.js';
import { FEEDING_SPACE, type FeedAccess, type SpaceClass } from './feeding-space.data.js';
import { TEXTURE_OF_ROLE, type HayTexture, type LayerRole, type LayingWeather } from './layer.js';

const METERS_PER_INCH = 0.0254;

interface LaidLayer {
  readonly name: string;
  readonly role: LayerRole;
  /** Of the lot, if recorded; else it follows from the role. */
  readonly texture?: HayTexture;
  readonly kgAsFed: number;
  readonly bulkDensityKgPerM3: number;
}

export interface LaidFeeding {
  /** Build order, bottom first. */
  readonly layers: readonly LaidLayer[];
  readonly weather: LayingWeather;
  /** Somebody saw frost or wet on the hay itself, whatever the weather. `null`: not recorded. */
  readonly hayWasWet: boolean | null;
  /** True if the layers were stirred, tossed or run through a mixer after they were laid. */
  readonly blended: boolean;
  readonly legumeShareOfDryMatter: number | null;
  readonly head: number;
  readonly space: {
    readonly spaceClass: SpaceClass;
    readonly access: FeedAccess;
    /** Length that animals can stand at, m; both sides counted where both can be reached. `null`: not recorded. */
    readonly feedingLengthM: number | null;
    /** Room for hay, m3. `null`: on the ground or not recorded. */
    readonly volumeM3: number | null;
  };
}

/**
 * Which layers are likely eaten first: the last laid lies on top. Cattle still sort, so this is likely, not certain.
 */
export function likelyEatenOrder<L>({ layers }: { readonly layers: readonly L[] }): {
  readonly order: readonly L[];
  readonly source: 'common practice, no source';
} {
  return { order: [...layers].reverse(), source: 'common practice, no source' };
}

/** Cautions on how a feeding was, or is to be, laid: texture order, wet hay, blending, length and room. */
export function layingCautions(feeding: LaidFeeding): RaisedCaution[] {
  const wet = feeding.hayWasWet ?? feeding.weather !== 'dry';
  return [
    ...leafyUnderCoarse(feeding.layers),
    ...raiseIfPassed({
      code: 'laid-while-wet',
      severity: 'watch',
      given: wet ? 1 : 0,
      threshold: CAUTIONS['laid-while-wet'].thresholds.wetLayings,
      message: `The hay was laid with ${feeding.weather === 'dry' ? 'wet hay' : feeding.weather} on it.`,
    }),
    ...(feeding.legumeShareOfDryMatter === null
      ? []
      : legumeBloatCautions({ legumeShareOfDryMatter: feeding.legumeShareOfDryMatter, fedWet: wet })),
    ...raiseIfPassed({
      code: 'blended-after-laying',
      severity: 'notice',
      given: feeding.blended && feeding.layers.length > 1 ? 1 : 0,
      threshold: CAUTIONS['blended-after-laying'].thresholds.blendedFeedings,
      message: `${feeding.layers.length} layers were laid and then blended.`,
    }),
    ...spaceCautions(feeding),
  ];
}

function leafyUnderCoarse(layers: readonly LaidLayer[]): RaisedCaution[] {
  const textures = layers.map((layer) => layer.texture ?? TEXTURE_OF_ROLE[layer.role]);
  return layers.flatMap((layer, index) => {
    if (textures[index] !== 'fragile-leafy') return [];
    const coarseAbove = textures.slice(index + 1).filter((texture) => texture === 'coarse-stemmy').length;
    return raiseIfPassed({
      code: 'leafy-under-coarse',
      severity: 'notice',
      subject: { kind: 'layer', name: layer.name },
      given: coarseAbove,
      threshold: CAUTIONS['leafy-under-coarse'].thresholds.coarseAbove,
      message: `${layer.name} is leafy and lies under ${counted(coarseAbove, 'coarser layer')}.`,
    });
  });
}

function spaceCautions({ layers, head, space }: LaidFeeding): RaisedCaution[] {
  const row = FEEDING_SPACE.find((each) => each.spaceClass === space.spaceClass && each.access === space.access);
  const inchesPerHead =
    space.feedingLengthM === null || head <= 0 ? null : space.feedingLengthM / METERS_PER_INCH / head;
  const volume = hayVolume({ layers }).volumeM3;
  const filled = space.volumeM3 === null || space.volumeM3 <= 0 ? null : volume / space.volumeM3;
  const length =
    row === undefined
      ? []
      : raiseIfPassed({
          code: 'bunk-length-short',
          severity: 'watch',
          given: inchesPerHead,
          threshold: {
            value: row.inchesPerHead[0],
            unit: 'in of feeding length per head',
            raisedWhen: 'below',
            source: row.source,
          },
          message: sentence`${quantity(inchesPerHead ?? 0, 'in', 1)} per head for ${head} head; ${quantity(
            row.inchesPerHead[0],
            'in',
            0,
          )} to ${quantity(row.inchesPerHead[1], 'in', 0)} is published.`,
        });
  return [
    ...length,
    ...raiseIfPassed({
      code: 'hay-exceeds-space',
      severity: 'notice',
      given: filled,
      threshold: CAUTIONS['hay-exceeds-space'].thresholds.filledShare,
      message: sentence`${quantity(volume, 'm3', 1)} of hay for ${quantity(space.volumeM3 ?? 0, 'm3', 1)} of room.`,
    }),
  ];
}

/** Volume of the hay as laid, by each layer's density. @throws RangeError for a density that is not positive. */
export function hayVolume({
  layers,
}: {
  readonly layers: readonly Pick<LaidLayer, 'kgAsFed' | 'bulkDensityKgPerM3'>[];
}): { readonly volumeM3: number } {
  let volumeM3 = 0;
  for (const { kgAsFed, bulkDensityKgPerM3 } of layers) {
    if (!(bulkDensityKgPerM3 > 0)) throw new RangeError(`Not a bulk density: ${bulkDensityKgPerM3}`);
    volumeM3 += kgAsFed / bulkDensityKgPerM3;
  }
  return { volumeM3 };
}
