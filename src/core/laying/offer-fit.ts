import { feedGroupOf } from '../feeds/other-feeds.data.js';
import { BALE_WEIGHT_POSSIBLE, OFFER_BOUNDS } from '../plausibility/entry-bounds.data.js';

const { aDay, eachDayMore, daysAtOnce, grainADay } = OFFER_BOUNDS;

/** The most dry matter that animals of a weight can be offered at once, kg a head. */
export function mostOfferedKg({ bodyWeightKg, days = 1 }: { bodyWeightKg: number; days?: number }): number {
  return (bodyWeightKg * (aDay.possible + eachDayMore.possible * (days - 1))) / 100;
}

/** The most dry matter of grain that animals of a weight can be offered on a day, kg a head. */
export function mostGrainKg({ bodyWeightKg }: { bodyWeightKg: number }): number {
  return (bodyWeightKg * grainADay.possible) / 100;
}

/** What is usually offered at once, kg of dry matter a head: `days` after the feeding before, for as many days. */
export function usuallyOfferedKg({ bodyWeightKg, days }: { bodyWeightKg: number; days: number }): number {
  return (bodyWeightKg * (aDay.usual + eachDayMore.possible * (days - 1))) / 100;
}

/** For how many days a feeding may have been laid. */
export function mostDaysLaidFor(method: string): number {
  return method === 'bunk' ? daysAtOnce.bunk : daysAtOnce.elsewhere;
}

/** Whether so much a day is unlikely, though not impossible. */
export function isUnlikelyOffer(of: { readonly dryMatterKg: number; readonly bodyWeightKg: number }): boolean {
  return of.dryMatterKg > (of.bodyWeightKg * aDay.usual) / 100;
}

/** Why so much cannot be meant, in dry matter. */
export interface OfferMisfit {
  readonly offeredKg: number;
  readonly mostKg: number;
  /** The part that is too much by itself, the rest being possible, and how much of it would be; else it is the sum. */
  readonly part: { readonly index: number; readonly allowedShare: number } | null;
}

/** Sums in floats differ in their last bits. */
const DUST = 1e-9;

/** What speaks against an offer of these parts, kg of dry matter a head; nothing where they can be meant. */
export function offerMisfit(partsKg: readonly number[], mostKg: number): OfferMisfit | undefined {
  const offeredKg = partsKg.reduce((sum, part) => sum + part, 0);
  if (offeredKg <= mostKg * (1 + DUST)) return undefined;
  const largestKg = Math.max(...partsKg);
  const room = mostKg - (offeredKg - largestKg);
  const alone = room > 0 && partsKg.length > 0;
  return {
    offeredKg,
    mostKg,
    part: alone ? { index: partsKg.indexOf(largestKg), allowedShare: room / largestKg } : null,
  };
}

/** What one bale of a lot weighs at most, kg as fed; `null` where it is not in bales. */
export function heaviestBaleKg({
  hayKind,
  baleForm,
  meanBaleKg,
}: {
  readonly hayKind: Parameters<typeof feedGroupOf>[0];
  readonly baleForm: string;
  readonly meanBaleKg: number | null;
}): number | null {
  if (feedGroupOf(hayKind) !== 'hay') return null;
  if (meanBaleKg !== null) return meanBaleKg;
  return Object.entries(BALE_WEIGHT_POSSIBLE).find(([form]) => form === baleForm)?.[1].kg[1] ?? null;
}
