import { isUnlikelyOffer, mostDaysLaidFor } from '../laying/offer-fit.js';
import { addDays, daysBetween } from '../time/calendar-day.js';
import { JUDGEMENT } from './judgement.data.js';
import { PRESENT_FEEDING } from './present-feeding.data.js';

/** One feeding as an animal got it. */
export interface FedAtOnce {
  readonly day: string;
  readonly method: string;
  /** As fed. */
  readonly kilogramsPerHead: number;
}

/** The days that a feeding was in front of the cattle, the first and how many. */
export interface FedFor {
  readonly day: string;
  readonly days: number;
  /** True while nothing was laid after it, and it was not for one day only: how long it lasts is not known yet. */
  readonly isRunning: boolean;
}

interface LaidInADay {
  readonly day: string;
  readonly method: string;
  readonly kilograms: number;
}

/**
 * For how many days each feeding was laid. Bales set out in a feeder or on the ground are what the cattle have until
 * the next ones are; feed that is given another way meanwhile ends nothing. A gap longer than a feeding is laid for
 * (`OFFER_BOUNDS`) is one without a record or without feed, unless so much was laid that it was meant for days. The
 * last feeding lasts at the pace of the one before, or else by its amount; when that time is over and nothing followed,
 * it is all that they had until `on`. Without a weight, what was laid before a long gap counts until its end.
 */
export function daysFedFor<One extends FedAtOnce>(
  feedings: readonly One[],
  { on, bodyWeightKg }: { readonly on: string; readonly bodyWeightKg: number | null },
): Map<One, FedFor> {
  const laid = laidByDay(feedings.filter(({ kilogramsPerHead }) => kilogramsPerHead > 0));
  const last = feedings.reduce((latest, { day }) => (day > latest ? day : latest), '');
  const found = new Map<LaidInADay, FedFor>();
  for (const [index, one] of laid.entries()) {
    const next = laid.slice(index + 1).find(({ method }) => method === one.method);
    const before = laid.slice(0, index).findLast(({ method }) => method === one.method);
    const beforeFor = before === undefined ? undefined : found.get(before);
    found.set(
      one,
      next === undefined
        ? runningFor(one, {
            on,
            bodyWeightKg,
            last,
            paceKg: before === undefined || beforeFor === undefined ? null : before.kilograms / beforeFor.days,
          })
        : { day: one.day, days: daysUntil(one, next.day, bodyWeightKg), isRunning: false },
    );
  }
  return new Map(
    feedings.map((feeding) => {
      const { day, method } = feeding;
      // What is only kept in front of the cattle counts on its day, and ends nothing.
      const put: FedFor = { day, days: 1, isRunning: false };
      if (!(feeding.kilogramsPerHead > 0)) return [feeding, put] as const;
      const together = laid.find((one) => one.day === day && one.method === method);
      return [feeding, (together === undefined ? undefined : found.get(together)) ?? put] as const;
    }),
  );
}

/** By day, oldest first; what was laid in one way on one day is together. */
function laidByDay(feedings: readonly FedAtOnce[]): LaidInADay[] {
  const laid = new Map<string, LaidInADay>();
  for (const { day, method, kilogramsPerHead } of feedings) {
    const key = `${day} ${method}`;
    laid.set(key, { day, method, kilograms: (laid.get(key)?.kilograms ?? 0) + kilogramsPerHead });
  }
  return [...laid.values()].sort((a, b) => (a.day < b.day ? -1 : a.day > b.day ? 1 : 0));
}

/** More than a day's feed by its amount alone; a bunk does not hold more. */
function isForDays({ method, kilograms }: LaidInADay, bodyWeightKg: number): boolean {
  return method !== 'bunk' && isUnlikelyOffer({ dryMatterKg: kilograms, bodyWeightKg });
}

function daysUntil(one: LaidInADay, next: string, bodyWeightKg: number | null): number {
  const days = daysBetween(one.day, next);
  if (days <= mostDaysLaidFor(one.method)) return days;
  const wasForDays = bodyWeightKg === null ? one.method !== 'bunk' : isForDays(one, bodyWeightKg);
  return wasForDays ? Math.min(days, PRESENT_FEEDING.notOlderThanDays.value) : 1;
}

/** Sums in floats differ in their last bits, and one bale is not quite like another. */
const NEARLY_A_DAY = 0.1;

function runningFor(
  one: LaidInADay,
  { on, bodyWeightKg, last, paceKg }: { on: string; bodyWeightKg: number | null; last: string; paceKg: number | null },
): FedFor {
  const eatenKg = bodyWeightKg === null ? null : (bodyWeightKg * JUDGEMENT.eatenPercentOfWeight.value) / 100;
  const byAmount = eatenKg !== null && isForDays(one, bodyWeightKg ?? 0) ? one.kilograms / eatenKg : 1;
  const lasts = Math.floor((paceKg === null || paceKg <= 0 ? byAmount : one.kilograms / paceKg) + NEARLY_A_DAY);
  if (lasts < 2) return { day: one.day, days: 1, isRunning: false };
  const soFar = daysBetween(one.day, on) + 1;
  const isReplaced = last >= addDays(one.day, lasts);
  return { day: one.day, days: soFar > lasts && !isReplaced ? soFar : lasts, isRunning: !isReplaced };
}

/** How many of the days that a feeding was in front of the cattle are in [from, until). */
export function daysWithin(
  { day, days }: Pick<FedFor, 'day' | 'days'>,
  { from, until }: { readonly from: string; readonly until: string },
): number {
  const end = addDays(day, days);
  const [first, last] = [day > from ? day : from, end < until ? end : until];
  return first < last ? daysBetween(first, last) : 0;
}

/** Whether a feeding was in front of the cattle on a day. */
export function isFedOn({ day, days }: FedFor, on: string): boolean {
  return day <= on && on < addDays(day, days);
}
