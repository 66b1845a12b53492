import { BALE_DAYS } from './bale-days.data.js';
import { type BaleLot, countedCarry, type DayCap, type DayNeed } from './bale-day-states.js';
import { alongShare, dailyShare, hayLaid, narrowest, smoothest, type Step, waysThrough } from './bale-day-ways.js';

export type { BaleLot, DayCap } from './bale-day-states.js';

export interface BaleDay {
  /** Whole bales of each lot, in the order of the lots. */
  readonly bales: readonly number[];
  /** All that is laid, loose hay and what goes along with hay included. */
  readonly layKg: number;
  /** What is laid over what is needed. */
  readonly shareOfNeed: number;
  /** How far each lot is ahead of (+) or behind (−) its need at the end of the day. */
  readonly carriedOutKg: readonly number[];
  /** Of a day's hay, what is in front of the cattle: laid on this day or left from the days before; at most 1. */
  readonly hayShare: number;
}

export interface BaleDays {
  /** What each lot starts from: its carry-over, as far as it counts. */
  readonly carriedInKg: readonly number[];
  /** Fed ahead and not taken off the days to come, because they would go short for it; per lot, ≥ 0. */
  readonly forgivenKg: readonly number[];
  readonly days: readonly BaleDay[];
  /** What the herd needs in a day, loose hay and what goes along with hay included. */
  readonly needKg: number;
  /** Every day's hay is between these shares of its need. */
  readonly band: { readonly from: number; readonly to: number };
  /** True where no plan in whole bales stays in the band asked for; the narrowest one is then reported. */
  readonly widerThanAsked: boolean;
  /** Days with coarse hay only, and days that pass a cap: as few as the band allows. */
  readonly daysOfCoarseAlone: number;
  readonly daysOverACap: number;
}

export interface BaleDaysAsked {
  readonly lots: readonly BaleLot[];
  /** Hay in the ration that is not in bales: laid as needed, every day. */
  readonly looseKgPerDay: number;
  readonly looseDryMatterKgPerDay?: number;
  /** What is laid by weight every day on which hay is in front of the cattle, newly laid or not: cubes, mineral. */
  readonly alongKgPerDay?: number;
  /** What of it is grain: no more of it to the hay in front of them than the ration says. */
  readonly grainAlongKgPerDay?: number;
  readonly alongDryMatterKgPerDay?: number;
  /** True if some of the loose hay is not coarse. */
  readonly looseIsMoreThanCoarse?: boolean;
  readonly caps?: readonly DayCap[];
  readonly totalBand?: number;
}

/**
 * Which bales to open on which day, where a ration is fed in whole bales. Rounded lot by lot, all lots would be
 * short, or over, on the same days; here the days are planned together:
 *
 * - each lot stays less than one bale ahead of or behind its need, on every day;
 * - no day passes a cap that is a danger, if any plan can do without;
 * - the herd is never behind its whole need by more than the band of a day (or half of the largest bale), as far as
 *   bales allow;
 * - no day's hay is further from the need than the band, or the narrowest band possible: first as little below the
 * need as possible, then as little above;
 * - then as few days as possible with coarse hay alone or above a cap, as few outside the band asked for, and
 * everything as close to the need as possible.
 *
 * Since each lot stays within a bale of its need, it is at one of two whole numbers each day; the best way through
 * these states is found exactly by dynamic programming (Bellman 1957), in a few milliseconds. With more than five
 * lots only the states nearest to the need are kept.
 * @throws RangeError for a need or bale that is not above zero, or no lot.
 */
export function planBaleDays(asked: BaleDaysAsked & { readonly days?: number }): BaleDays {
  const daysAsked = asked.days ?? BALE_DAYS.daysShown;
  const carry = countedCarry(asked.lots);
  const need = needOf(asked, carry.counted);
  const fresh = needOf(
    asked,
    asked.lots.map(() => 0),
  );
  const usual = narrowest(waysThrough(fresh, BALE_DAYS.daysOfTheBand));
  const ways = waysThrough(need, Math.max(BALE_DAYS.daysLookedAt, daysAsked));
  const now = narrowest(ways);
  const excess = { below: Math.max(usual.below, now.below), above: Math.max(usual.above, now.above) };
  const path = smoothest(ways, excess);
  const along = asked.alongKgPerDay ?? 0;
  const byDay = { steadyKg: along - (asked.grainAlongKgPerDay ?? 0), grainKg: asked.grainAlongKgPerDay ?? 0 };
  const days = path
    .slice(0, daysAsked)
    .map((step, day) => dayOf(step, path[day - 1]?.carriedOutKg ?? carry.counted, { need, ...byDay }));
  return {
    carriedInKg: carry.counted,
    forgivenKg: carry.forgiven,
    days,
    needKg: need.totalKg + along,
    band: {
      from: Math.max(0, 1 - need.totalBand - excess.below),
      to: 1 + need.totalBand + excess.above,
    },
    widerThanAsked: excess.below > 0 || excess.above > 0,
    daysOfCoarseAlone: path.slice(0, daysAsked).filter(({ coarseAlone }) => coarseAlone).length,
    daysOverACap: path.slice(0, daysAsked).filter(({ overCap }) => overCap).length,
  };
}

/**
 * How far outside the band asked for some of so many days must be, in shares of the need, with the herd as little
 * behind as possible: below the need first, then above.
 */
export function narrowestBand(asked: BaleDaysAsked, days: number): { readonly below: number; readonly above: number } {
  const need = needOf(asked, countedCarry(asked.lots).counted);
  return narrowest(waysThrough(need, days));
}

function needOf(asked: BaleDaysAsked, carriedKg: readonly number[]): DayNeed {
  const { lots, looseKgPerDay, looseDryMatterKgPerDay, looseIsMoreThanCoarse, caps, totalBand } = asked;
  if (lots.length === 0) throw new RangeError('A plan of whole bales needs a lot in bales');
  for (const { baleKg, needKgPerDay } of lots)
    if (!(baleKg > 0) || !(needKgPerDay > 0)) throw new RangeError('A bale and a need are above zero');
  const totalKg = looseKgPerDay + lots.reduce((sum, lot) => sum + lot.needKgPerDay, 0);
  const largestBaleKg = Math.max(...lots.map((lot) => lot.baleKg));
  const band = totalBand ?? BALE_DAYS.totalBand.share;
  const mayBeBehindKg = Math.min(band * totalKg, largestBaleKg / 2);
  const carriedTotal = carriedKg.reduce((sum, kg) => sum + kg, 0);
  return {
    lots,
    carriedKg,
    looseKg: looseKgPerDay,
    looseDryMatterKg: looseDryMatterKgPerDay ?? looseKgPerDay,
    alongDryMatterKg: asked.alongDryMatterKgPerDay ?? asked.alongKgPerDay ?? 0,
    totalKg,
    hayKg:
      looseKgPerDay +
      lots.reduce((sum, { needKgPerDay, isConcentrate }) => sum + (isConcentrate === true ? 0 : needKgPerDay), 0),
    largestBaleKg,
    mayBeBehindKg,
    totalBand: band,
    // What the herd is short from earlier days may be made up on the first day, whatever the band says.
    makeGoodKg: carriedTotal < -mayBeBehindKg * (1 + 1e-9) ? -carriedTotal : 0,
    mayBeCoarseAlone: looseIsMoreThanCoarse === true || lots.every((lot) => lot.coarse),
    caps: caps ?? [],
  };
}

function dayOf(
  { bales, layKg: withoutAlongKg, carriedOutKg }: Step,
  carriedInKg: readonly number[],
  { need, steadyKg, grainKg }: { need: DayNeed; steadyKg: number; grainKg: number },
): BaleDay {
  // A lot that is behind was made up for by another, so they count together.
  const leftKg = need.lots.reduce(
    (sum, { isConcentrate }, lot) => sum + (isConcentrate === true ? 0 : (carriedInKg[lot] ?? 0)),
    0,
  );
  const laidKg = hayLaid(need, (lot) => bales[lot] ?? 0);
  const hayShare = alongShare(Math.max(0, leftKg + laidKg), need);
  const layKg = withoutAlongKg + dailyShare(hayShare) * steadyKg + dailyShare(hayShare, { isGrain: true }) * grainKg;
  return { bales, layKg, shareOfNeed: layKg / (need.totalKg + steadyKg + grainKg), carriedOutKg, hayShare };
}
