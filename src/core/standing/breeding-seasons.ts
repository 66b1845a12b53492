import { type CalendarDay, dayFromNumber, dayNumber } from '../time/calendar-day.js';
import { calvingAfter, dayBy, type DaySpread, evenly, mixed, settledToBulls } from './day-spread.js';
import { type FactOf, factsOf, type HerdFact } from './herd-on-file.js';
import {
  BULLS_BEFORE_CALVING_DAYS_MAX,
  CALVING_MATCH_DAYS,
  GESTATION,
  ONE_SEASON_DAYS,
  SETTLED_TO_INSEMINATION,
} from './standing.data.js';

type Bred = FactOf<'bred'>;
type Calved = FactOf<'calved'>;
type Check = FactOf<'pregnancy-check'>;

/**
 * One breeding season and the calving that follows it. Animals are ranked: the share 0 to `settled` is pregnant, and
 * those that settle first calve first.
 */
export interface BreedingSeason {
  /** `assumed`: not recorded; the season before is assumed to repeat. */
  readonly breeding: 'recorded' | 'from-the-calving' | 'assumed';
  readonly calving: 'recorded' | 'expected';
  readonly bred: readonly Bred[];
  readonly calved: Calved | null;
  readonly check: Check | null;
  /** Share that is pregnant, 0 to 1. */
  readonly settled: number;
  /** Day number on which this share (0 to 1) of the pregnant had conceived, or has calved. */
  readonly conceivedBy: (share: number) => number;
  readonly calvedBy: (share: number) => number;
  /** When their breeding has them calving; where that is not known, when they did. */
  readonly expectedBy: (share: number) => number;
  /** First day number on which any may have conceived. */
  readonly from: number;
}

/** The seasons that the recorded facts show, oldest first. */
export function breedingSeasons(facts: readonly HerdFact[]): BreedingSeason[] {
  const calvings = seasonsIn(factsOf(facts, 'calved')).map(lastWritten);
  const taken = new Set<Calved>();
  const known = bredSeasons(facts).map(({ bred, check }) => {
    const conception = conceptionOf(bred);
    const expected = calvingAfter(conception);
    const calved = calvings.find((one) => !taken.has(one) && isOf(one, conception, expected)) ?? null;
    if (calved !== null) taken.add(calved);
    return seasonOf(bred, { conception, expected }, calved, check);
  });
  const unexpected = calvings.filter((one) => !taken.has(one)).map(seasonOfCalving);
  return [...known, ...unexpected].sort((one, other) => one.from - other.from);
}

/** A recorded breeding season, its facts oldest first, and the check that speaks of it. */
export interface BredSeason {
  readonly bred: readonly [Bred, ...Bred[]];
  readonly check: Check | null;
}

/** The recorded breeding seasons, oldest first. */
export function bredSeasons(facts: readonly HerdFact[]): BredSeason[] {
  const checks = factsOf(facts, 'pregnancy-check');
  const groups = seasonsIn(factsOf(facts, 'bred'));
  return groups.flatMap((bred, index) => {
    const [first, ...more] = bred;
    if (first === undefined) return [];
    return [{ bred: [first, ...more], check: checkOf(checks, bred, groups[index + 1]?.[0]?.on) }];
  });
}

/** Mean day of conception of the newest breeding, and of the newest calving, of those that were recorded. */
export function lastRecorded(facts: readonly HerdFact[]): { bredOn: CalendarDay | null; calvedOn: CalendarDay | null } {
  const seasons = breedingSeasons(facts);
  const bred = seasons.findLast((season) => season.bred.length > 0);
  const calved = seasons.findLast((season) => season.calved !== null);
  return {
    bredOn: bred === undefined ? null : dayFromNumber(bred.conceivedBy(0.5)),
    calvedOn: calved === undefined ? null : dayFromNumber(calved.calvedBy(0.5)),
  };
}

/** The same season a year later, as long as no other is recorded. */
export function seasonAYearOn(season: BreedingSeason): BreedingSeason {
  const conceivedBy = (share: number): number => season.conceivedBy(share) + DAYS_A_YEAR;
  const expectedBy = (share: number): number => season.expectedBy(share) + DAYS_A_YEAR;
  return {
    breeding: 'assumed',
    calving: 'expected',
    bred: season.bred,
    calved: null,
    check: null,
    settled: 1,
    conceivedBy,
    calvedBy: expectedBy,
    expectedBy: expectedBy,
    from: season.from + DAYS_A_YEAR,
  };
}

export const DAYS_A_YEAR = 365;

/** Facts grouped by nearness in time, oldest first. */
function seasonsIn<Fact extends HerdFact>(facts: readonly Fact[]): Fact[][] {
  const seasons: Fact[][] = [];
  for (const fact of facts) {
    const first = seasons.at(-1)?.[0];
    if (first !== undefined && dayNumber(fact.on) - dayNumber(first.on) <= ONE_SEASON_DAYS) seasons.at(-1)?.push(fact);
    else seasons.push([fact]);
  }
  return seasons;
}

function lastWritten<Fact extends HerdFact>(facts: readonly Fact[]): Fact {
  return facts.reduce((last, one) => (`${one.recordedAt} ${one.id}` > `${last.recordedAt} ${last.id}` ? one : last));
}

/** Where days of exposure are known, a mean day alone adds nothing; of several mean days the last one entered holds. */
function conceptionOf(bred: readonly Bred[]): DaySpread {
  const exposed = bred.filter((one) => one.service !== null);
  const exposures = exposed.length > 0 ? exposed : [lastWritten(bred)];
  const inseminations = exposures.filter((one) => one.service !== 'bull');
  const bulls = exposures.filter((one) => one.service === 'bull');
  const spreads = inseminations.map(({ on, lastOn }) => evenly(dayNumber(on), dayNumber(lastOn)));
  // Animals that did not settle to the first are there for the next.
  let left = 1;
  const parts = spreads.map((spread) => {
    const weight = left * SETTLED_TO_INSEMINATION.value;
    left -= weight;
    return { spread, weight };
  });
  if (bulls.length > 0) {
    const from = Math.min(...bulls.map(({ on }) => dayNumber(on)));
    const until = Math.max(...bulls.map(({ lastOn }) => dayNumber(lastOn)));
    parts.push({ spread: settledToBulls(from, until), weight: left });
  }
  return mixed(parts);
}

/**
 * Whether a calving is of this breeding. One that comes too early is of it too: entries refuse such a calving, but
 * where one is in the books the cows that carry are those that calved, and the open stay open.
 */
function isOf(calved: Calved, conception: DaySpread, expected: DaySpread): boolean {
  const late = dayNumber(calved.medianOn ?? calved.on) - dayBy(expected, 0.5);
  if (Math.abs(late) <= CALVING_MATCH_DAYS) return true;
  return late < 0 && dayNumber(calved.on) - conception.from > BULLS_BEFORE_CALVING_DAYS_MAX;
}

/** The newest check between this breeding and the next. */
function checkOf(checks: readonly Check[], [first]: readonly Bred[], next: CalendarDay | undefined): Check | null {
  if (first === undefined) return null;
  const latest = dayNumber(first.on) + ONE_SEASON_DAYS + GESTATION.meanDays.value;
  return (
    checks.findLast(
      (one) => one.on > first.on && dayNumber(one.on) <= latest && (next === undefined || one.on < next),
    ) ?? null
  );
}

function seasonOf(
  bred: readonly Bred[],
  { conception, expected }: { conception: DaySpread; expected: DaySpread },
  calved: Calved | null,
  check: Check | null,
): BreedingSeason {
  const calvedBy = calved === null ? byDays(expected) : calvingStated(calved, expected);
  return {
    breeding: 'recorded',
    calving: calved === null ? 'expected' : 'recorded',
    bred,
    calved,
    check,
    settled: check === null ? 1 : 1 - check.headOpen / check.headChecked,
    conceivedBy: byDays(conception),
    calvedBy,
    expectedBy: byDays(expected),
    from: conception.from,
  };
}

/** A calving without a recorded breeding: the cows conceived one gestation before. */
function seasonOfCalving(calved: Calved): BreedingSeason {
  const calvedBy = calvingStated(calved, undefined);
  const conceivedBy = (share: number): number => calvedBy(share) - GESTATION.meanDays.value;
  return {
    breeding: 'from-the-calving',
    calving: 'recorded',
    bred: [],
    calved,
    check: null,
    settled: 1,
    conceivedBy,
    calvedBy,
    expectedBy: calvedBy,
    from: conceivedBy(0),
  };
}

const byDays =
  (spread: DaySpread) =>
  (share: number): number =>
    dayBy(spread, share);

/** Where the middle of a calving falls between its first and last day if nobody says: a third of the way. */
const MIDDLE_SHARE = 1 / 3;

/** First, median and last calf as recorded; what is missing comes from what was expected, if anything was. */
function calvingStated(calved: Calved, expected: DaySpread | undefined): (share: number) => number {
  const first = dayNumber(calved.on);
  if (calved.medianOn === null && calved.lastOn === null) {
    if (expected === undefined) return () => first;
    const early = first - dayBy(expected, FIRST_SHARE);
    return (share) => Math.max(first, dayBy(expected, share) + early);
  }
  const lastStated = calved.lastOn === null ? undefined : dayNumber(calved.lastOn);
  const median =
    calved.medianOn === null
      ? first + Math.round(((lastStated ?? first) - first) * MIDDLE_SHARE)
      : dayNumber(calved.medianOn);
  const last = lastStated ?? median + (expected === undefined ? median - first : spanAfterMedian(expected));
  return (share) =>
    Math.round(share <= 0.5 ? first + (median - first) * 2 * share : median + (last - median) * (2 * share - 1));
}

/** The first calf of a herd is about one in fifty; so is the last. */
const FIRST_SHARE = 0.02;

function spanAfterMedian(expected: DaySpread): number {
  return dayBy(expected, 1 - FIRST_SHARE) - dayBy(expected, 0.5);
}
