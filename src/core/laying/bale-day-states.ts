/** A lot of the ration that is fed in whole bales. */
export interface BaleLot {
  /** As fed, all head. */
  readonly needKgPerDay: number;
  readonly baleKg: number;
  /** What was fed above (+) or below (−) the need so far. */
  readonly carriedInKg: number;
  /** True for the coarse layer: a day of it alone is no ration. */
  readonly coarse: boolean;
  /** Dry matter in a kilogram as fed. */
  readonly dryMatterShare: number;
  /** Grain or another concentrate in bales: nothing goes along with it, as with hay. */
  readonly isConcentrate?: boolean;
}

/**
 * The most that a day's dry matter should contain, where the ration itself stays within it: legume, nitrate, one hay.
 */
export interface DayCap {
  readonly name: string;
  /** Of each lot's dry matter, in the order of the lots. */
  readonly contents: readonly number[];
  /** In the day's loose hay. */
  readonly inLooseKg: number;
  /** In what is laid along with a whole day of hay. */
  readonly inAlongKg?: number;
  /** Of the day's dry matter. */
  readonly atMost: number;
  /** True where a day beyond it is a danger: no plan has such a day if any plan can do without. */
  readonly isDanger?: boolean;
}

/** The need of every day, worked out once. */
export interface DayNeed {
  readonly lots: readonly BaleLot[];
  readonly carriedKg: readonly number[];
  readonly looseKg: number;
  readonly looseDryMatterKg: number;
  /** Of a whole day of hay; less hay has less of it laid along. */
  readonly alongDryMatterKg: number;
  readonly totalKg: number;
  /** What of it is hay, baled or loose. */
  readonly hayKg: number;
  readonly largestBaleKg: number;
  /** How far the herd may be behind its whole need. */
  readonly mayBeBehindKg: number;
  readonly totalBand: number;
  readonly makeGoodKg: number;
  readonly mayBeCoarseAlone: boolean;
  readonly caps: readonly DayCap[];
}

/** Where the lots are at the end of a day. */
export interface DayState {
  /** Of each lot since the first day. */
  readonly bales: readonly number[];
  readonly balesKg: number;
  readonly carriedKg: readonly number[];
  /** How much further behind its need the herd is than it may be, in days of hay. */
  readonly behind: number;
  /** How far everything is from the need: sum of squares, in bales. */
  readonly rough: number;
}

/** States kept per day: all states of five lots. */
const MOST_STATES = 32;
/** A lot stands less than a bale from its need by this part of a bale. */
const SHORT_OF_A_BALE = 1e-6;

/**
 * The carry-over, as far as it counts. A lot counts less than one bale ahead or behind, and the herd no more than the
 * largest bale (or one of each less a day's need, where that is more): beyond that, what was fed twice, or not at
 * all, is neither taken off the days to come nor made up on them.
 */
export function countedCarry(lots: readonly BaleLot[]): {
  readonly counted: readonly number[];
  readonly forgiven: readonly number[];
} {
  const within = lots.map(({ carriedInKg, baleKg }) => {
    const most = baleKg * (1 - SHORT_OF_A_BALE);
    return Math.min(most, Math.max(-most, carriedInKg));
  });
  const total = within.reduce((sum, kg) => sum + kg, 0);
  const sumOf = (figures: readonly number[]): number => figures.reduce((sum, kg) => sum + kg, 0);
  const bales = lots.map((lot) => lot.baleKg);
  const most = Math.max(...bales, sumOf(bales) - sumOf(lots.map((lot) => lot.needKgPerDay)));
  const side = Math.sign(total);
  const onThatSide = within.filter((kg) => kg * side > 0).reduce((sum, kg) => sum + kg, 0);
  const tooMuch = Math.abs(total) - most;
  const counted =
    tooMuch <= 0 ? within : within.map((kg) => (kg * side > 0 ? kg * (1 - tooMuch / Math.abs(onThatSide)) : kg));
  return {
    counted,
    forgiven: lots.map(({ carriedInKg }, lot) => Math.max(0, carriedInKg - (counted[lot] ?? 0))),
  };
}

/**
 * The states of each day, the first being the evening before: each lot at the whole numbers of bales that leave it less
 * than a bale from its need, one or two of them.
 */
export function dayStates(need: DayNeed, days: number): DayState[][] {
  const all: DayState[][] = [
    [
      stateOf(
        need,
        need.lots.map(() => 0),
        0,
      ),
    ],
  ];
  for (let day = 1; day <= days; day += 1) {
    const choices = need.lots.map(({ needKgPerDay, baleKg }, lot) => {
      const exact = (needKgPerDay * day - (need.carriedKg[lot] ?? 0)) / baleKg;
      const least = Math.max(0, Math.ceil(exact - 1 + SHORT_OF_A_BALE / 2));
      const most = Math.max(least, Math.floor(exact + 1 - SHORT_OF_A_BALE / 2));
      return least === most ? [least] : [least, most];
    });
    let sets: number[][] = [[]];
    for (const choice of choices) sets = sets.flatMap((set) => choice.map((bales) => [...set, bales]));
    all.push(nearest(sets.map((bales) => stateOf(need, bales, day))));
  }
  return all;
}

/** The first state of a day has every lot at its least number, which can always be reached: it is never dropped. */
function nearest(states: readonly DayState[]): DayState[] {
  if (states.length <= MOST_STATES) return [...states];
  const [least, ...others] = states;
  if (least === undefined) return [];
  return [least, ...others.sort((a, b) => a.rough - b.rough).slice(0, MOST_STATES - 1)];
}

function stateOf(need: DayNeed, bales: readonly number[], day: number): DayState {
  const { lots, carriedKg, largestBaleKg, mayBeBehindKg, totalKg } = need;
  let balesKg = 0;
  let rough = 0;
  let total = 0;
  const carried = lots.map(({ needKgPerDay, baleKg }, lot) => {
    const kg = (bales[lot] ?? 0) * baleKg;
    const over = (carriedKg[lot] ?? 0) + kg - needKgPerDay * day;
    balesKg += kg;
    total += over;
    rough += (over / baleKg) ** 2;
    return over;
  });
  const behindKg = -mayBeBehindKg - total;
  return {
    bales,
    balesKg,
    carriedKg: carried,
    behind: behindKg > 1e-9 * totalKg ? behindKg / totalKg : 0,
    rough: day === 0 ? 0 : rough + (total / largestBaleKg) ** 2,
  };
}
