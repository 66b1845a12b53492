import { type DayCap, type DayNeed, type DayState, dayStates } from './bale-day-states.js';

/** Shares nearer than this are the same. */
const TINY = 1e-9;

/** All that can be laid on one day: from each state of the evening before to each state of its own evening. */
interface WaysOfADay {
  readonly count: number;
  readonly from: Int32Array;
  readonly to: Int32Array;
  /** Shares of the need by which the day is outside the band asked for. */
  readonly below: Float64Array;
  readonly above: Float64Array;
  /** Bits: 1 for coarse hay alone, 2 above a cap, 4 above a cap that is a danger. */
  readonly wrong: Uint8Array;
}

export interface WaysThrough {
  readonly need: DayNeed;
  readonly states: readonly (readonly DayState[])[];
  readonly days: readonly WaysOfADay[];
}

export interface Step {
  readonly bales: readonly number[];
  readonly layKg: number;
  readonly carriedOutKg: readonly number[];
  readonly coarseAlone: boolean;
  readonly overCap: boolean;
}

const COARSE_ALONE = 1;
const OVER_A_CAP = 2;
const DANGER = 4;
/** Counts before any number of days behind the need. */
const BEFORE_ALL_ELSE = 1000;

/** Every way through the days in which each lot stays within a bale of its need. */
export function waysThrough(need: DayNeed, days: number): WaysThrough {
  const states = dayStates(need, days);
  return {
    need,
    states,
    days: states.slice(1).map((evening, day) => waysOfADay(need, states[day] ?? [], evening, day === 0)),
  };
}

function waysOfADay(need: DayNeed, morning: readonly DayState[], evening: readonly DayState[], first: boolean) {
  const most = morning.length * evening.length;
  const [from, to] = [new Int32Array(most), new Int32Array(most)];
  const [below, above] = [new Float64Array(most), new Float64Array(most)];
  const wrong = new Uint8Array(most);
  const atLeast = need.totalKg * (1 - need.totalBand);
  const atMost = Math.max(need.totalKg * (1 + need.totalBand), first ? need.totalKg + need.makeGoodKg : 0);
  let count = 0;
  for (let before = 0; before < morning.length; before += 1) {
    const start = morning[before] as DayState;
    for (let after = 0; after < evening.length; after += 1) {
      const end = evening[after] as DayState;
      const coarse = coarseAlone(need, start, end);
      if (coarse === null) continue;
      const layKg = need.looseKg + end.balesKg - start.balesKg;
      from[count] = before;
      to[count] = after;
      below[count] = share(atLeast - layKg, need.totalKg);
      above[count] = share(layKg - atMost, need.totalKg);
      const over = need.caps.filter((cap) => passes(cap, start, end, need));
      wrong[count] =
        (coarse ? COARSE_ALONE : 0) |
        (over.length > 0 ? OVER_A_CAP : 0) |
        (over.some(({ isDanger }) => isDanger) ? DANGER : 0);
      count += 1;
    }
  }
  return { count, from, to, below, above, wrong };
}

/** Whether only coarse hay is laid; `null` where bales would have to be taken back. */
function coarseAlone(need: DayNeed, start: DayState, end: DayState): boolean | null {
  let alone = !need.mayBeCoarseAlone;
  for (let lot = 0; lot < end.bales.length; lot += 1) {
    const bales = (end.bales[lot] as number) - (start.bales[lot] as number);
    if (bales < 0) return null;
    if (bales > 0 && need.lots[lot]?.coarse === false) alone = false;
  }
  return alone;
}

function share(kg: number, totalKg: number): number {
  return kg <= TINY * totalKg ? 0 : kg / totalKg;
}

function passes(cap: DayCap, start: DayState, end: DayState, need: DayNeed): boolean {
  const { lots, looseDryMatterKg, alongDryMatterKg } = need;
  const along = alongShare(
    hayLaid(need, (lot) => (end.bales[lot] ?? 0) - (start.bales[lot] ?? 0)),
    need,
  );
  let held = cap.inLooseKg + along * (cap.inAlongKg ?? 0);
  let dryMatter = looseDryMatterKg + along * alongDryMatterKg;
  lots.forEach(({ baleKg, dryMatterShare }, lot) => {
    const kg = ((end.bales[lot] ?? 0) - (start.bales[lot] ?? 0)) * baleKg * dryMatterShare;
    dryMatter += kg;
    held += kg * (cap.contents[lot] ?? 0);
  });
  return held > cap.atMost * dryMatter * (1 + TINY);
}

/**
 * How far outside the band asked for the worst day has to be, on the ways that leave the herd least behind: first as
 * little below the need as possible, then as little above.
 */
export function narrowest(ways: WaysThrough): { readonly below: number; readonly above: number } {
  const below = leastWorst(ways, ({ below: measured }) => measured, Infinity);
  return { below, above: leastWorst(ways, ({ above: measured }) => measured, below) };
}

/** Two figures are kept for each state: a sum, and the worst day among the ways with the smallest sum. */
function leastWorst(
  { states, days }: WaysThrough,
  measure: (day: WaysOfADay) => Float64Array,
  mostBelow: number,
): number {
  let behindBefore = new Float64Array([0]);
  let worstBefore = new Float64Array([0]);
  days.forEach((day, index) => {
    const evening = states[index + 1] ?? [];
    const measured = measure(day);
    const behind = new Float64Array(evening.length).fill(Infinity);
    const worst = new Float64Array(evening.length).fill(Infinity);
    for (let way = 0; way < day.count; way += 1) {
      if ((day.below[way] as number) > mostBelow + TINY) continue;
      const [before, after] = [day.from[way] as number, day.to[way] as number];
      const sum =
        (behindBefore[before] as number) + (evening[after] as DayState).behind + danger(day.wrong[way] as number);
      const most = Math.max(worstBefore[before] as number, measured[way] as number);
      const least = behind[after] as number;
      if (sum < least - TINY || (sum < least + TINY && most < (worst[after] as number))) {
        behind[after] = sum;
        worst[after] = most;
      }
    }
    behindBefore = behind;
    worstBefore = worst;
  });
  const least = Math.min(...behindBefore);
  return Math.min(...worstBefore.filter((_worst, state) => (behindBefore[state] as number) < least + TINY));
}

/**
 * Four sums, in the order in which they count: days of danger and of being behind the need, wrong days, days outside
 * the band, how far from the need.
 */
type Cost = readonly [behind: number, wrong: number, outside: number, rough: number];

function cheaper(a: Cost, b: Cost): boolean {
  if (a[0] < b[0] - TINY) return true;
  if (a[0] > b[0] + TINY) return false;
  if (a[1] !== b[1]) return a[1] < b[1];
  if (a[2] < b[2] - TINY) return true;
  if (a[2] > b[2] + TINY) return false;
  return a[3] < b[3] - TINY;
}

interface Reached {
  readonly cost: Cost;
  readonly way: number;
}

/** The best way whose days are no further outside the band asked for than they have to be. */
export function smoothest(ways: WaysThrough, outside: { readonly below: number; readonly above: number }): Step[] {
  let before: (Reached | undefined)[] = [{ cost: [0, 0, 0, 0], way: 0 }];
  const reached = ways.days.map((day, index) => {
    const evening = ways.states[index + 1] ?? [];
    const best: (Reached | undefined)[] = new Array<Reached | undefined>(evening.length).fill(undefined);
    for (let way = 0; way < day.count; way += 1) {
      const start = before[day.from[way] as number];
      const [below, above] = [day.below[way] as number, day.above[way] as number];
      if (start === undefined || below > outside.below + TINY || above > outside.above + TINY) continue;
      const after = day.to[way] as number;
      const { behind, rough } = evening[after] as DayState;
      const cost: Cost = [
        start.cost[0] + behind + danger(day.wrong[way] as number),
        start.cost[1] + (WRONGS[day.wrong[way] as number] ?? 0),
        start.cost[2] + below + above,
        start.cost[3] + rough,
      ];
      const held = best[after];
      if (held === undefined || cheaper(cost, held.cost)) best[after] = { cost, way };
    }
    before = best;
    return best;
  });
  return wayBack(ways, reached);
}

/**
 * Of a day's hay, what so much hay is, at most 1: of what is laid by weight (grain, cubes, mineral) that share goes
 * with it in the ration's proportion.
 */
export function alongShare(kilograms: number, { hayKg }: Pick<DayNeed, 'hayKg'>): number {
  return hayKg > 0 ? Math.min(1, kilograms / hayKg) : 1;
}

/**
 * Share of a feed by weight that is laid on a day with so much of a day's hay in front of the cattle. Cubes, meal,
 * mineral and salt are a day's need, whenever bales are opened; grain with starch never exceeds the ration's share of
 * the hay that they eat that day. Nothing is laid by itself.
 */
export function dailyShare(hayShare: number, { isGrain = false }: { readonly isGrain?: boolean } = {}): number {
  if (isGrain) return hayShare;
  return hayShare > 0 ? 1 : 0;
}

/** Hay that is laid on a day of so many bales of each lot; bales of a concentrate are none. */
export function hayLaid({ lots, looseKg }: DayNeed, balesOf: (lot: number) => number): number {
  return lots.reduce(
    (sum, { baleKg, isConcentrate }, lot) => sum + (isConcentrate === true ? 0 : balesOf(lot) * baleKg),
    looseKg,
  );
}

/** How many things are wrong, by the bits that say which. */
const WRONGS = [0, 1, 1, 2, 1, 2, 1, 2];

function danger(wrong: number): number {
  return (wrong & DANGER) > 0 ? BEFORE_ALL_ELSE : 0;
}

function wayBack({ states, days, need }: WaysThrough, reached: readonly (readonly (Reached | undefined)[])[]): Step[] {
  let at = -1;
  let best: Cost | undefined;
  (reached.at(-1) ?? []).forEach((one, state) => {
    if (one === undefined || (best !== undefined && !cheaper(one.cost, best))) return;
    best = one.cost;
    at = state;
  });
  const steps: Step[] = [];
  for (let day = days.length - 1; day >= 0; day -= 1) {
    const way = reached[day]?.[at]?.way;
    const ofDay = days[day];
    if (way === undefined || ofDay === undefined) throw new RangeError('No whole bales lead through the days');
    const start = states[day]?.[ofDay.from[way] as number] as DayState;
    const end = states[day + 1]?.[at] as DayState;
    const wrong = ofDay.wrong[way] as number;
    steps.unshift({
      bales: end.bales.map((bales, lot) => bales - (start.bales[lot] ?? 0)),
      layKg: need.looseKg + end.balesKg - start.balesKg,
      carriedOutKg: end.carriedKg,
      coarseAlone: (wrong & COARSE_ALONE) > 0,
      overCap: (wrong & OVER_A_CAP) > 0,
    });
    at = ofDay.from[way] as number;
  }
  return steps;
}
