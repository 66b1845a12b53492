import { mostDaysLaidFor } from '../laying/offer-fit.js';
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

/** A day to which feedings count, and what is known then of the cattle that ate them. */
export interface FedUntil {
  readonly on: string;
  readonly bodyWeightKg: number | null;
  /** As fed a day by the ration in use, where it is laid in whole bales, so not all of it on each day. */
  readonly planKgPerHead?: number | null;
}

/**
 * For how many days each feeding was laid, by its amount and the time until the next one. Bales set out in a feeder,
 * on the ground or in a bunk are what the cattle have until the next ones are; feed that is given another way
 * meanwhile ends nothing, nor does a supplement. More than cattle eat in a day lasts until the next wherever it lies,
 * though not where it is what they got on the days before it too. A day's feed before a gap that is longer than one is
 * laid for (`OFFER_BOUNDS`) is one without a record or without feed. The last feeding lasts at the pace of the one
 * before, or of a ration in whole bales, or else by its amount; when that time is over and nothing followed, it is all
 * that they had until `on`. Without a weight, what was laid before a long gap counts until its end, unless in a bunk.
 */
export function daysFedFor<One extends FedAtOnce>(feedings: readonly One[], known: FedUntil): Map<One, FedFor> {
  const laid = laidByDay(feedings.filter(({ kilogramsPerHead }) => kilogramsPerHead > 0));
  const last = feedings.reduce((latest, { day }) => (day > latest ? day : latest), '');
  const found = new Map<LaidInADay, FedFor>();
  for (const [index, one] of laid.entries()) {
    const isAlike = (other: LaidInADay): boolean =>
      other.method === one.method && !isSupplementBeside(one, other, known.bodyWeightKg);
    const next = laid.slice(index + 1).find(isAlike);
    const before = laid.slice(0, index).findLast(isAlike);
    const beforeFor = before === undefined ? undefined : found.get(before);
    const earlier = before === undefined || beforeFor === undefined ? null : { ...before, days: beforeFor.days };
    found.set(
      one,
      next === undefined
        ? runningFor(one, { ...known, last, paceKg: paceOf(earlier, known) })
        : { day: one.day, days: daysUntil(one, next.day, { ...known, earlier }), isRunning: false },
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

/** Sums in floats differ in their last bits, and one bale is not quite like another. */
const NEARLY_A_DAY = 0.1;

/** For how many days an amount is by itself, at what cattle eat in a day. */
function daysByAmount(kilograms: number, bodyWeightKg: number): number {
  return Math.floor(kilograms / eatenKg(bodyWeightKg) + NEARLY_A_DAY);
}

function eatenKg(bodyWeightKg: number): number {
  return (bodyWeightKg * JUDGEMENT.eatenPercentOfWeight.value) / 100;
}

/** Beside what was laid for days, less than half of a day's feed is a supplement and not what follows it. */
function isSupplementBeside(one: LaidInADay, other: LaidInADay, bodyWeightKg: number | null): boolean {
  if (bodyWeightKg === null || daysByAmount(one.kilograms, bodyWeightKg) < 2) return false;
  return other.kilograms < eatenKg(bodyWeightKg) * PRESENT_FEEDING.supplementOfADay.value;
}

type Earlier = LaidInADay & { readonly days: number };

function daysUntil(
  one: LaidInADay,
  next: string,
  { bodyWeightKg, earlier }: Pick<FedUntil, 'bodyWeightKg'> & { readonly earlier: Earlier | null },
): number {
  const days = daysBetween(one.day, next);
  if (days <= mostDaysLaidFor('bunk')) return days;
  if (earlier !== null && isDaily(earlier, one)) return 1;
  const isForDays = bodyWeightKg === null ? one.method !== 'bunk' : daysByAmount(one.kilograms, bodyWeightKg) >= 2;
  if (isForDays) return Math.min(days, PRESENT_FEEDING.notOlderThanDays.value);
  return days <= mostDaysLaidFor(one.method) ? days : 1;
}

/** Of the one before, or else of the ration: what cattle get in a day. */
function paceOf(earlier: Earlier | null, { planKgPerHead }: FedUntil): number | null {
  return earlier === null ? (planKgPerHead ?? null) : earlier.kilograms / earlier.days;
}

/** Whether a feeding is as much as the day before it, which is then what they get in a day, were it ever so wet. */
function isDaily(earlier: Earlier, { day, kilograms }: LaidInADay): boolean {
  return daysBetween(earlier.day, day) === 1 && Math.floor(kilograms / earlier.kilograms + NEARLY_A_DAY) < 2;
}

function runningFor(
  one: LaidInADay,
  { on, bodyWeightKg, last, paceKg }: FedUntil & { readonly last: string; readonly paceKg: number | null },
): FedFor {
  const byAmount = bodyWeightKg === null ? 1 : daysByAmount(one.kilograms, bodyWeightKg);
  const lasts = paceKg === null || paceKg <= 0 ? byAmount : Math.floor(one.kilograms / paceKg + NEARLY_A_DAY);
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
