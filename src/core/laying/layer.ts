/** What a layer is there for. */
export const LAYER_ROLES = ['coarse', 'rich', 'mixed'] as const;
export type LayerRole = (typeof LAYER_ROLES)[number];

/**
 * What shares are shares of. People lay hay by volume; a ration is balanced by dry matter. They are never mixed
 * silently.
 */
export const LAYER_BASES = ['volume', 'as-fed', 'dry-matter'] as const;
export type LayerBasis = (typeof LAYER_BASES)[number];

/** How a hay takes weight and trampling: fragile leaves shatter, coarse stems crush what lies under them. */
export const HAY_TEXTURES = ['fragile-leafy', 'medium', 'coarse-stemmy'] as const;
export type HayTexture = (typeof HAY_TEXTURES)[number];

/** Used where the lot's own texture is not recorded. */
export const TEXTURE_OF_ROLE: Readonly<Record<LayerRole, HayTexture>> = {
  coarse: 'coarse-stemmy',
  rich: 'fragile-leafy',
  mixed: 'medium',
};

export const LAYING_WEATHER = ['dry', 'dew', 'frost', 'rain', 'snow'] as const;
export type LayingWeather = (typeof LAYING_WEATHER)[number];
