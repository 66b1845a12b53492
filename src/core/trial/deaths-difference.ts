import { logGamma } from './special-functions.js';

/** How many head started in an arm, and how many of them died. */
export interface DeathsOfArm {
  readonly died: number;
  readonly started: number;
}

export interface DeathsDifference {
  /** Share that died on the change less the share that died on the usual feeding. */
  readonly difference: number;
  readonly low: number;
  readonly high: number;
  readonly confidence: number;
}

/** Steps along the chance of death in the usual arm, which is not known. */
const GRID = 120;
/** Halvings of the difference: 2 / 2^24 is about a ten-millionth. */
const HALVINGS = 24;
/** Results whose statistics differ by less are equally extreme. */
const TIE = 1e-9;

/**
 * Difference in the share that died with its exact interval: for each side, the differences that a one-sided test at
 * (1 − confidence) / 2 does not reject, whatever the chance of death in the usual arm; results are ordered by the
 * score statistic. It holds its confidence at any number of head. Source: Chan, I.S.F. and Zhang, Z. 1999. Test-based
 * exact confidence intervals for the difference of two binomial proportions. Biometrics 55:1202-1209.
 * @throws RangeError if an arm has no head, or more died than started.
 */
export function exactDeathsDifference({
  usual,
  change,
  confidence,
}: {
  usual: DeathsOfArm;
  change: DeathsOfArm;
  confidence: number;
}): DeathsDifference {
  for (const { died, started } of [usual, change])
    if (!(started >= 1 && died >= 0 && died <= started)) throw new RangeError(`${died} died of ${started} head`);
  const difference = change.died / change.started - usual.died / usual.started;
  const alpha = (1 - confidence) / 2;
  // The high end of change less usual is the low end of usual less change with its sign turned.
  return {
    difference,
    low: lowEnd(change, usual, alpha),
    high: 0 - lowEnd(usual, change, alpha),
    confidence,
  };
}

/** The smallest difference, first less second, that is not rejected as too small for what was seen. */
function lowEnd(first: DeathsOfArm, second: DeathsOfArm, alpha: number): number {
  if (first.died === 0 && second.died === second.started) return -1;
  const chances = { first: logChoices(first.started), second: logChoices(second.started) };
  let low = -1;
  let high = first.died / first.started - second.died / second.started;
  for (let step = 0; step < HALVINGS; step += 1) {
    const middle = (low + high) / 2;
    if (chanceOfAtLeast(first, second, middle, chances) > alpha) high = middle;
    else low = middle;
  }
  return (low + high) / 2;
}

/**
 * Largest chance, over all chances of death in the second arm, of a result that speaks at least as strongly for a
 * greater difference than `difference` as what was seen.
 */
export function chanceOfAtLeast(
  first: DeathsOfArm,
  second: DeathsOfArm,
  difference: number,
  chances = { first: logChoices(first.started), second: logChoices(second.started) },
): number {
  const most = asExtreme(first, second, difference);
  const from = Math.max(0, -difference);
  const to = Math.min(1, 1 - difference);
  const at = (second_: number): number => {
    const inFirst = binomial(chances.first, Math.min(1, Math.max(0, second_ + difference)));
    const upTo = running(binomial(chances.second, second_));
    return inFirst.reduce((sum, chance, died) => sum + chance * (upTo[most[died] ?? -1] ?? 0), 0);
  };
  let best = 0;
  let bestAt = from;
  for (let step = 0; step <= GRID; step += 1) {
    const tried = from + ((to - from) * step) / GRID;
    const chance = at(tried);
    if (chance > best) [best, bestAt] = [chance, tried];
  }
  return Math.max(
    best,
    peak(at, Math.max(from, bestAt - (to - from) / GRID), Math.min(to, bestAt + (to - from) / GRID)),
  );
}

/** The largest value of a function with one peak, by golden sections. Source: Kiefer 1953, Proc. AMS 4:502-506. */
function peak(of: (at: number) => number, from: number, to: number): number {
  const golden = (Math.sqrt(5) - 1) / 2;
  let [low, high] = [from, to];
  for (let step = 0; step < 30; step += 1) {
    const [one, other] = [high - golden * (high - low), low + golden * (high - low)];
    if (of(one) < of(other)) low = one;
    else high = other;
  }
  return of((low + high) / 2);
}

/**
 * For each number of deaths in the first arm, the most deaths in the second arm that are as extreme as what was seen;
 * −1 where none are. The statistic falls with each death in the second arm and rises with each in the first.
 */
function asExtreme(first: DeathsOfArm, second: DeathsOfArm, difference: number): number[] {
  const seen = scoreStatistic(first, second, difference);
  let most = -1;
  return Array.from({ length: first.started + 1 }, (_, died) => {
    while (
      most < second.started &&
      scoreStatistic({ ...first, died }, { ...second, died: most + 1 }, difference) >= seen - TIE
    )
      most += 1;
    return most;
  });
}

/**
 * Score statistic of a difference between two shares. Source: Farrington, C.P. and Manning, G. 1990. Statistics in
 * Medicine 9:1447-1454 (shares fitted under the difference in closed form).
 */
function scoreStatistic(first: DeathsOfArm, second: DeathsOfArm, difference: number): number {
  const above = first.died / first.started - second.died / second.started - difference;
  const { one, other } = fittedShares(first, second, difference);
  const variance = (one * (1 - one)) / first.started + (other * (1 - other)) / second.started;
  if (variance < 1e-14) return Math.abs(above) < 1e-12 ? 0 : above > 0 ? Infinity : -Infinity;
  return above / Math.sqrt(variance);
}

function fittedShares(
  first: DeathsOfArm,
  second: DeathsOfArm,
  difference: number,
): { readonly one: number; readonly other: number } {
  const theta = second.started / first.started;
  const [p1, p2] = [first.died / first.started, second.died / second.started];
  const a = 1 + theta;
  const b = -(1 + theta + p1 + theta * p2 + difference * (theta + 2));
  const c = difference ** 2 + difference * (2 * p1 + theta + 1) + p1 + theta * p2;
  const d = -p1 * difference * (1 + difference);
  const v = b ** 3 / (3 * a) ** 3 - (b * c) / (6 * a ** 2) + d / (2 * a);
  const u = (v > 0 ? 1 : -1) * Math.sqrt(Math.max(0, b ** 2 / (3 * a) ** 2 - c / (3 * a)));
  const w = u === 0 ? 0 : (Math.PI + Math.acos(Math.min(1, Math.max(-1, v / u ** 3)))) / 3;
  const inside = (share: number) => Math.min(1, Math.max(0, share));
  const one = inside(2 * u * Math.cos(w) - b / (3 * a));
  return { one, other: inside(one - difference) };
}

function logChoices(head: number): number[] {
  return Array.from(
    { length: head + 1 },
    (_, died) => logGamma(head + 1) - logGamma(died + 1) - logGamma(head - died + 1),
  );
}

function binomial(choices: readonly number[], share: number): number[] {
  const head = choices.length - 1;
  if (share <= 0 || share >= 1) return choices.map((_, died) => (died === (share <= 0 ? 0 : head) ? 1 : 0));
  const [died, lived] = [Math.log(share), Math.log1p(-share)];
  return choices.map((choice, count) => Math.exp(choice + count * died + (head - count) * lived));
}

function running(chances: readonly number[]): number[] {
  let sum = 0;
  return chances.map((chance) => (sum += chance));
}
