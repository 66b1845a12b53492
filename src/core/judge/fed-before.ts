import type { LotShare } from '../cautions/rumen.js';
import { PRESENT_FEEDING } from './present-feeding.data.js';

/** What one head got from a lot on a day. */
export interface PartOfDay {
  readonly lotId: string;
  readonly asFedKg: number;
  /** Dry matter in a kilogram as fed. */
  readonly dryMatterShare: number;
  readonly isStarchyGrain: boolean;
}

/** What cattle are used to on a day: the mean of the days before it. */
export interface FedBefore {
  readonly shares: readonly LotShare[];
  /** As fed, per head. */
  readonly starchyGrainKgPerDay: number;
}

/**
 * The mean of the last days on which it is known what the herd was fed, newest first, the day that is judged not among
 * them. A new feed so counts as used to little by little, and wholly after a week; what is brought up in small steps
 * never stands far above it. `null` where no day is known.
 * @param evened the same days without their rounding to whole bales, which is no change of feed; a meal of grain stays
 *   as it was laid
 */
export function fedBeforeOf(
  days: readonly (readonly PartOfDay[])[],
  evened: readonly (readonly PartOfDay[])[] = days,
): FedBefore | null {
  const lastOf = (of: readonly (readonly PartOfDay[])[]) => of.slice(0, PRESENT_FEEDING.days.value).flat();
  const count = Math.min(days.length, PRESENT_FEEDING.days.value);
  const shares = sharesOf(lastOf(evened));
  if (shares === null) return null;
  return {
    shares,
    starchyGrainKgPerDay:
      lastOf(days)
        .filter(({ isStarchyGrain }) => isStarchyGrain)
        .reduce((sum, { asFedKg }) => sum + asFedKg, 0) / count,
  };
}

/** Each lot's share of the dry matter; `null` where there is none. */
export function sharesOf(parts: readonly PartOfDay[]): LotShare[] | null {
  const dryMatter = (of: readonly PartOfDay[]): number =>
    of.reduce((sum, { asFedKg, dryMatterShare }) => sum + asFedKg * dryMatterShare, 0);
  const total = dryMatter(parts);
  if (!(total > 0)) return null;
  return [...new Set(parts.map(({ lotId }) => lotId))].map((lotId) => ({
    lotId,
    shareOfDryMatter: dryMatter(parts.filter((part) => part.lotId === lotId)) / total,
  }));
}

/**
 * What cattle will be used to so many days on, if they are fed this ration until then: the days of the week before that
 * are still to count, and the ration for the rest.
 */
export function fedBeforeLater(before: FedBefore | null, ration: readonly PartOfDay[], days: number): FedBefore | null {
  const week = PRESENT_FEEDING.days.value;
  const ofRation = fedBeforeOf([ration]);
  if (days <= 0) return before;
  if (before === null || ofRation === null || days >= week) return ofRation ?? before;
  const now = days / week;
  const share = ({ shares }: FedBefore, lotId: string): number =>
    shares.find((one) => one.lotId === lotId)?.shareOfDryMatter ?? 0;
  return {
    shares: [...new Set([...before.shares, ...ofRation.shares].map(({ lotId }) => lotId))].map((lotId) => ({
      lotId,
      shareOfDryMatter: (1 - now) * share(before, lotId) + now * share(ofRation, lotId),
    })),
    starchyGrainKgPerDay: (1 - now) * before.starchyGrainKgPerDay + now * ofRation.starchyGrainKgPerDay,
  };
}
