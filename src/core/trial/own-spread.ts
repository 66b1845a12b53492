import { counted, noun } from '../units/counted.js';
import { describe } from './descriptive.js';
import { oneWayAnova } from './one-way-anova.js';
import { TRIAL_CHOICES } from './trial.data.js';

/** One weight of one animal out of the books. `day` is a day number; only differences count. */
export interface OwnWeight {
  readonly animalId: string;
  readonly herdId: string;
  readonly day: number;
  readonly weightKg: number;
  readonly fill: 'full' | 'shrunk';
}

export type OwnSpread =
  | {
      readonly ok: true;
      readonly kgPerDay: number;
      readonly degreesOfFreedom: number;
      readonly animals: number;
      /** Groups of animals of one herd weighed on the same two days. */
      readonly groups: number;
      readonly shortestDays: number;
      readonly longestDays: number;
    }
  | { readonly ok: false; readonly animals: number; readonly because: string };

/**
 * Spread of daily gain between animals fed alike, from an operation's own weights: for each animal the first and the
 * last weight at the same fill, far enough apart; grouped by herd and by the two days, so that differences between
 * herds and winters do not count as spread; pooled over the groups within which it is measured. Source: pooled
 * standard deviation, the residual standard deviation of a one-way layout (NIST/SEMATECH e-Handbook 7.4.3.3).
 * @returns what is lacking, where the books do not carry it: fewer than `ownSpreadDegreesOfFreedom` in all groups
 * together.
 */
export function ownDailyGainSpread(weights: readonly OwnWeight[]): OwnSpread {
  const byAnimal = new Map<string, OwnWeight[]>();
  for (const weight of weights) {
    const key = `${weight.fill} ${weight.animalId}`;
    const known = byAnimal.get(key);
    if (known === undefined) byAnimal.set(key, [weight]);
    else known.push(weight);
  }
  const groups = new Map<string, { days: number; gains: number[] }>();
  for (const own of byAnimal.values()) {
    const inOrder = [...own].sort((one, other) => one.day - other.day);
    const [first, last] = [inOrder[0], inOrder.at(-1)];
    if (first === undefined || last === undefined) continue;
    const days = last.day - first.day;
    if (days < TRIAL_CHOICES.ownSpreadDays.value) continue;
    const key = `${last.herdId} ${first.fill} ${first.day} ${last.day}`;
    const group = groups.get(key) ?? { days, gains: [] };
    group.gains.push((last.weightKg - first.weightKg) / days);
    groups.set(key, group);
  }
  const usable = [...groups.values()].filter((group) => group.gains.length > 1);
  const animals = usable.reduce((sum, group) => sum + group.gains.length, 0);
  const degreesOfFreedom = animals - usable.length;
  const least = TRIAL_CHOICES.ownSpreadDegreesOfFreedom.value;
  if (degreesOfFreedom < least) {
    return {
      ok: false,
      animals,
      because:
        `The books hold two weights of like fill, ${TRIAL_CHOICES.ownSpreadDays.value} days apart or more, of ` +
        `${counted(animals, 'animal')} in ${counted(usable.length, 'group')}; ${least} degrees of freedom are needed ` +
        `and there ${noun(degreesOfFreedom, 'is', 'are')} ${degreesOfFreedom}.`,
    };
  }
  const gains = usable.map((group) => group.gains);
  const kgPerDay = gains.length === 1 ? describe(gains[0] ?? []).sd : oneWayAnova(gains).residualSd;
  if (!(kgPerDay > 0))
    return { ok: false, animals, because: 'All gains in the books are the same, which real weights never are.' };
  const spans = usable.map((group) => group.days);
  return {
    ok: true,
    kgPerDay,
    degreesOfFreedom,
    animals,
    groups: usable.length,
    shortestDays: Math.min(...spans),
    longestDays: Math.max(...spans),
  };
}

export type OwnWeighingSpread =
  | {
      readonly ok: true;
      /** Of one weight of one animal on one day. */
      readonly sdKg: number;
      readonly degreesOfFreedom: number;
      readonly animals: number;
      /** Groups of animals of one herd weighed on the same two days. */
      readonly groups: number;
    }
  | { readonly ok: false; readonly animals: number; readonly because: string };

/**
 * Spread of one weight of an animal from day to day (fill and scale), from an operation's own weights on two days in a
 * row at the same fill: the spread of the differences within each group over the square root of two, pooled over
 * groups, so that a day on which a whole herd was fuller is no spread. Kilograms. Source: within-subject standard
 * deviation of paired measurements, Bland and Altman 1996, British Medical Journal 313:744 (from memory).
 * @returns what is lacking where there are fewer than `ownSpreadDegreesOfFreedom` in all groups together.
 */
export function ownWeighingSpread(weights: readonly OwnWeight[]): OwnWeighingSpread {
  const on = new Map(weights.map((one) => [`${one.fill} ${one.animalId} ${one.day}`, one]));
  const groups = new Map<string, number[]>();
  for (const { fill, animalId, herdId, day, weightKg } of on.values()) {
    const next = on.get(`${fill} ${animalId} ${day + 1}`);
    if (next === undefined) continue;
    const key = `${herdId} ${fill} ${day}`;
    groups.set(key, [...(groups.get(key) ?? []), next.weightKg - weightKg]);
  }
  const usable = [...groups.values()].filter((group) => group.length > 1);
  const animals = [...groups.values()].reduce((sum, group) => sum + group.length, 0);
  const degreesOfFreedom = usable.reduce((sum, group) => sum + group.length - 1, 0);
  const least = TRIAL_CHOICES.ownSpreadDegreesOfFreedom.value;
  if (degreesOfFreedom < least)
    return {
      ok: false,
      animals,
      because:
        `The books hold weights of like fill on two days in a row of ${counted(animals, 'animal')}; ${least} degrees ` +
        `of freedom are needed and there ${noun(degreesOfFreedom, 'is', 'are')} ${degreesOfFreedom}.`,
    };
  const within = usable.reduce((sum, group) => sum + describe(group).sumOfSquares, 0) / degreesOfFreedom;
  if (!(within > 0))
    return { ok: false, animals, because: 'All animals changed alike from day to day, which real weights never are.' };
  return { ok: true, sdKg: Math.sqrt(within / 2), degreesOfFreedom, animals, groups: usable.length };
}
