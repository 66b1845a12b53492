import type { FeedingWasteCode } from '../stock/feeding-waste.data.js';

/**
 * Which published figure a budget follows, and which others are published for the same thing: sources disagree, so
 * the one followed is a choice, kept as data.
 */
export interface LossChoice<Code> {
  readonly follow: Code;
  readonly others: readonly Code[];
}

/** How hay is offered, in the words of the feeding records. */
export const FEEDING_WASTE_CHOICES = {
  bunk: { follow: 'ksu-wheat-shredded-bunk', others: [] },
  'windrow-on-ground': { follow: 'ksu-wheat-shredded-ground', others: [] },
  'ring-feeder': { follow: 'msu-ring', others: ['osu-open-ring'] },
  'cone-feeder': { follow: 'msu-cone', others: ['osu-cone'] },
  'trailer-feeder': { follow: 'msu-trailer', others: [] },
  'unrolled-on-ground': { follow: 'ksu-wheat-unrolled', others: [] },
} as const satisfies Record<string, LossChoice<FeedingWasteCode>>;
export type BudgetFeedingMethod = keyof typeof FEEDING_WASTE_CHOICES;

/**
 * How a herd is assumed to be fed when nothing is known: in a ring feeder, as most round bales are. Any other way in
 * the list above may be the real one, so the bounds cover all of them. Common practice, no source.
 */
export const USUAL_FEEDING_METHOD: BudgetFeedingMethod = 'ring-feeder';
