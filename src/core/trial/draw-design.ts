import { type SeededRandom, shuffled } from './seeded-random.js';
import { hasPeriods, ordersOf, type PenFeedings, type TrialDesign } from './trial-design.js';
import type { TrialArm } from './trial-records.js';

/**
 * Draws what each pen is fed: an order of feedings in a design with periods, dealt so that each order has as many pens
 * as another or one more; in blocks every feeding for as many pens of each block.
 */
export function drawFeedings(
  {
    design,
    penIds,
    arms,
  }: {
    readonly design: TrialDesign;
    readonly penIds: readonly string[];
    readonly arms: readonly Pick<TrialArm, 'id' | 'role'>[];
  },
  random: SeededRandom,
): PenFeedings[] {
  if (hasPeriods(design)) {
    // Which order gets one pen more is drawn as well.
    const orders = shuffled(ordersOf(design, arms), random);
    return shuffled(penIds, random).map((penId, index) => ({
      penId,
      block: null,
      armIds: orders[index % orders.length] ?? [],
    }));
  }
  return design.blocks.flatMap(({ name, pens }) =>
    shuffled(pens, random).map((penId, index) => ({
      penId,
      block: name,
      armIds: [arms[index % arms.length]?.id ?? ''],
    })),
  );
}
