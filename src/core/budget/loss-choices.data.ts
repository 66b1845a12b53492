import type { FeedingWasteCode } from '../stock/feeding-waste.data.js';
import type { StorageLossCode } from '../stock/storage-loss.data.js';

/** Which published figure a budget follows, and which others were published for the same: sources disagree, so the followed one is a choice in data. */
export interface LossChoice<Code> {
  readonly follow: Code;
  readonly others: readonly Code[];
}

/** How a lot is stored, by the words of the hay books. Under a tarp the base is not known; the figure for a drained base is followed. */
export const STORAGE_LOSS_CHOICES = {
  'under-roof': { follow: 'uky-inside-ground', others: ['uky-inside-stone', 'isu-inside', 'ut-inside', 'harrigan-inside-pallets', 'fescue-inside'] },
  'tarp': { follow: 'uky-covered-stone', others: ['uky-covered-ground'] },
  'outdoors-on-gravel-or-pallets': { follow: 'uky-uncovered-stone', others: ['isu-gravel-pad', 'harrigan-outside-net', 'harrigan-outside-twine'] },
  'outdoors-on-ground': { follow: 'isu-ground', others: ['ut-ground', 'fescue-sod-twine', 'fescue-sod-mesh'] },
  'plastic-wrap': { follow: 'isu-plastic-wrap', others: ['harrigan-outside-plastic', 'fescue-sod-solid-plastic'] },
} as const satisfies Record<string, LossChoice<StorageLossCode>>;
export type BudgetStorageMethod = keyof typeof STORAGE_LOSS_CHOICES;

/** How hay is offered, by the words of the feeding records. */
export const FEEDING_WASTE_CHOICES = {
  'bunk': { follow: 'ksu-wheat-shredded-bunk', others: [] },
  'windrow-on-ground': { follow: 'ksu-wheat-shredded-ground', others: [] },
  'ring-feeder': { follow: 'msu-ring', others: ['osu-open-ring'] },
  'cone-feeder': { follow: 'msu-cone', others: ['osu-cone'] },
  'trailer-feeder': { follow: 'msu-trailer', others: [] },
  'unrolled-on-ground': { follow: 'ksu-wheat-unrolled', others: [] },
} as const satisfies Record<string, LossChoice<FeedingWasteCode>>;
export type BudgetFeedingMethod = keyof typeof FEEDING_WASTE_CHOICES;
