import type { MassUnit } from '../../../core/units/mass.js';

/**
 * Weight events of the Animal Data Exchange standard. Source: International Committee for Animal Recording, Animal Data
 * Exchange JSON standard (adewg/ICAR): icarWeightEventResource, icarEventCoreResource, icarMassMeasureType,
 * icarWeightMethodType, uncefactMassUnitsType.
 */
export const ICAR_WEIGHT_METHODS = [
  'LoadCell',
  'Girth',
  'Assessed',
  'WalkOver',
  'Predicted',
  'Imaged',
  'FrontEndCorrelated',
  'GroupAverage',
] as const;
export type IcarWeightMethod = (typeof ICAR_WEIGHT_METHODS)[number];

/**
 * Methods that put the animal on a scale; the others are estimates, and a group's average is not an animal's weight.
 */
export const WEIGHED_METHODS: readonly IcarWeightMethod[] = ['LoadCell', 'WalkOver', 'FrontEndCorrelated'];
export const ICAR_DEFAULT_METHOD: IcarWeightMethod = 'LoadCell';

/**
 * UN/CEFACT Recommendation 20 codes, as the standard uses them, for units that an animal can be weighed in, and our
 * names for them. Kilograms if none is given.
 */
export const ICAR_MASS_UNITS = { KGM: 'kg', GRM: 'g', LBR: 'lb', TNE: 't' } as const satisfies Record<string, MassUnit>;
export type IcarMassUnit = keyof typeof ICAR_MASS_UNITS;
export const ICAR_DEFAULT_UNIT: IcarMassUnit = 'KGM';

/**
 * Identifiers carry a scheme in reverse domain notation. A number of 15 digits is read as ISO 11784 under any scheme;
 * anything else is a tag read by eye.
 */
export const ELECTRONIC_ID_SCHEME = 'org.iso.11784';
export const VISUAL_TAG_SCHEME = 'local.visual-tag';
export const RANCH_SCHEME = 'local.ranch';
