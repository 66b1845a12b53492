/**
 * What can be written down of hay by looking at it, smelling it and putting a hand into it. The words are ours; what
 * follows from them stands in `cautions.data.ts` with its source.
 */

/** How much mold or dust was seen. */
export const SEEN_AMOUNTS = ['none', 'light', 'heavy'] as const;
export type SeenAmount = (typeof SEEN_AMOUNTS)[number];

/** Sweet is sound hay; caramel and tobacco tell of heat, musty of mold, ammonia and rotten of spoilage. */
export const HAY_SMELLS = ['sweet', 'none', 'musty', 'caramel', 'tobacco', 'ammonia', 'rotten', 'smoke'] as const;
export type HaySmell = (typeof HAY_SMELLS)[number];

export const HAY_COLORS = ['green', 'pale-green', 'yellow', 'bleached', 'brown', 'black'] as const;
export type HayColor = (typeof HAY_COLORS)[number];

/** As a hand feels it between the bales. */
export const HEAT_FELT = ['cool', 'warm', 'hot'] as const;
export type HeatFelt = (typeof HEAT_FELT)[number];

/**
 * Outside these a probe reading is a slip: a stack keeps warmer than the coldest air, and hay burns before it gets
 * hotter.
 * From memory, no source; wide on purpose.
 */
export const PROBE_READING_C = { lowest: -30, highest: 300 } as const;

/**
 * Moisture of hay or silage outside these is a slip, of a probe or of a ticket: a crop holds 75 to 85 % of water while
 * it stands, and hay in a barn dries to no less than 4 %. From memory, no source; wide on purpose.
 */
export const MOISTURE_PERCENT = { lowest: 3, highest: 85 } as const;

/**
 * Mold and heat found in a stack had begun by so many days before, so hay that left it within them had it too. Damp hay
 * heats and molds in the first two or three weeks.
 */
export const BEGAN_WITHIN_DAYS = { value: 21, source: 'common practice, no source' } as const;

/**
 * How many bales of a lot, or all that it holds, have to be looked at before what was found in some is taken back: as
 * many as a lab sample stands for a lot (Montana State University Extension 2019; National Forage Testing Association).
 * That it is enough for mold is common practice, no source.
 */
export const BALES_THAT_TELL_OF_A_LOT = { value: 20, source: 'montanaSampling; for mold: commonPractice' } as const;
