import { type BreedingSeason, breedingSeasons, DAYS_A_YEAR, seasonAYearOn } from './breeding-seasons.js';
import { type HerdFact, factsOf } from './herd-on-file.js';
import { GESTATION, REST_AFTER_CALVING, WEANED_WITHIN_DAYS, WEANING_AGE } from './standing.data.js';
import type { AnimalClass } from '../requirements/requirement-set.js';
import { dayNumber } from '../time/calendar-day.js';

/** A herd is split into this many equal shares, so that no day of calving moves more than one of them. */
const COHORTS = 20;
/** A pregnancy of a cohort, by day numbers. */
export interface Pregnancy {
  readonly season: BreedingSeason;
  readonly conceived: number;
  readonly calves: number;
  /** Days by which it comes later than the breeding says, since she had to calve and rest before she could settle. */
  readonly late: number;
  /** Day on which the calves of that season are weaned. */
  readonly weaned: number;
  readonly weaning: 'recorded' | 'expected';
}

/** A share of the herd that conceives and calves on the same days. */
export interface Cohort {
  readonly share: number;
  /** Oldest first. */
  readonly pregnancies: readonly Pregnancy[];
  /** Seasons in which it was exposed and did not settle. */
  readonly missed: readonly BreedingSeason[];
}

/** Classes that are bred every year; open cows, and heifers that took the place of others, are not assumed to be. */
const BRED_AGAIN: readonly AnimalClass[] = ['dry-pregnant-cow', 'lactating-cow', 'first-calf-heifer'];

/** The seasons of a herd, plus one more after the last, unless somebody said that these cows are not bred. */
export function seasonsOf(facts: readonly HerdFact[]): BreedingSeason[] {
  const seasons = breedingSeasons(facts);
  const last = seasons.at(-1);
  if (last === undefined) return seasons;
  const calving = last.calvedBy(0.5);
  const saidOtherwise = factsOf(facts, 'class').some(
    (one) =>
      !BRED_AGAIN.includes(one.cattleClass) &&
      dayNumber(one.on) > calving &&
      dayNumber(one.on) <= calving + DAYS_A_YEAR,
  );
  return saidOtherwise ? seasons : [...seasons, seasonAYearOn(last)];
}

export function cohortsOf(seasons: readonly BreedingSeason[], facts: readonly HerdFact[]): Cohort[] {
  const weanings = factsOf(facts, 'weaned').map((one) => dayNumber(one.on));
  const middles = new Map(seasons.map((season) => [season, middleOf(season, seasons)]));
  const weanedOf = (one: Carried): Pick<Pregnancy, 'weaned' | 'weaning'> => {
    const weaned = weanings.find((day) => day > one.calves && day - one.calves <= WEANED_WITHIN_DAYS);
    if (weaned !== undefined) return { weaned, weaning: 'recorded' };
    return { weaned: (middles.get(one.season) ?? one.calves) + WEANING_AGE.value, weaning: 'expected' };
  };
  const cuts = [
    ...new Set([
      ...Array.from({ length: COHORTS + 1 }, (_, index) => index / COHORTS),
      ...seasons.map((season) => season.settled),
    ]),
  ].sort((one, other) => one - other);
  return cuts.slice(1).map((until, index) => {
    const from = cuts[index] ?? 0;
    const rank = (from + until) / 2;
    return {
      share: until - from,
      pregnancies: carriedAt(rank, seasons).map((one) => ({ ...one, ...weanedOf(one) })),
      missed: seasons.filter((season) => rank >= season.settled),
    };
  });
}

type Carried = Pick<Pregnancy, 'season' | 'conceived' | 'calves' | 'late'>;

/** What the animals at this rank of the herd went through; those that settle first in one season do so in the next. */
function carriedAt(rank: number, seasons: readonly BreedingSeason[]): Carried[] {
  const pregnancies: Carried[] = [];
  for (const season of seasons.filter((one) => rank < one.settled)) {
    const carrying = carryingThrough(season, seasons);
    if (rank < carrying) continue;
    const share = (rankIn(season, rank, carrying) - carrying) / (season.settled - carrying);
    const by = season.conceivedBy(share);
    if (season.calving === 'recorded') {
      const calves = season.calvedBy(share);
      pregnancies.push({ season, conceived: carryingTo(calves, by), calves, late: 0 });
      continue;
    }
    const late = Math.max(0, (pregnancies.at(-1)?.calves ?? -Infinity) + REST_AFTER_CALVING.value - by);
    pregnancies.push({ season, conceived: by + late, calves: season.calvedBy(share) + late, late });
  }
  return pregnancies;
}

/** Share that was pregnant from earlier through all of a recorded breeding: only the others could settle in it. */
function carryingThrough(season: BreedingSeason, seasons: readonly BreedingSeason[]): number {
  if (season.breeding !== 'recorded') return 0;
  const before = seasons.filter((one) => one.from < season.from && one.calvedBy(0) > season.conceivedBy(1));
  return Math.max(0, ...before.map((one) => one.settled));
}

/** A recorded calving tells of the conception too: no gestation is shorter or longer than counts. */
function carryingTo(calves: number, conceived: number): number {
  const { meanDays, spreadDays } = GESTATION;
  const latest = calves - meanDays.value + spreadDays.value;
  return Math.min(latest, Math.max(conceived, latest - 2 * spreadDays.value));
}

/** Day number by which half of the pregnant have calved. */
function middleOf(season: BreedingSeason, seasons: readonly BreedingSeason[]): number {
  const middle = (carryingThrough(season, seasons) + season.settled) / 2;
  const late = carriedAt(middle, seasons).find((one) => one.season === season)?.late ?? 0;
  return season.calvedBy(0.5) + late;
}

/** The first and last day of a calving are those of the first and last of fifty cows. */
const EDGE = 0.02;

/** First, middle and last day number of a calving. */
export interface CalvingWindow {
  readonly first: number;
  readonly median: number;
  readonly last: number;
}

/** The days of a recorded calving that were entered, as they were entered. */
function calvingAsStated({ calved }: BreedingSeason): Partial<CalvingWindow> {
  if (calved === null) return {};
  const { on, medianOn, lastOn } = calved;
  return {
    first: dayNumber(on),
    ...(medianOn === null ? {} : { median: dayNumber(medianOn) }),
    ...(lastOn === null ? {} : { last: dayNumber(lastOn) }),
  };
}

/** The calving of each season, with those that settled late because they had calved late. */
export function calvingWindows(
  seasons: readonly BreedingSeason[],
  cohorts: readonly Cohort[],
): Map<BreedingSeason, CalvingWindow> {
  return new Map(
    seasons.map((season) => {
      const carried = cohorts.flatMap((cohort) => cohort.pregnancies.filter((one) => one.season === season));
      const days = carried.map((one) => one.calves);
      const stated = calvingAsStated(season);
      return [
        season,
        {
          first: Math.min(stated.first ?? season.calvedBy(EDGE) + (carried[0]?.late ?? 0), ...days),
          median: stated.median ?? middleOf(season, seasons),
          last: Math.max(stated.last ?? season.calvedBy(1 - EDGE) + (carried.at(-1)?.late ?? 0), ...days),
        },
      ];
    }),
  );
}

/** The middle of the equal share that a rank lies in, as far as it settled; how other seasons cut it does not count. */
function rankIn({ settled }: BreedingSeason, rank: number, carrying: number): number {
  const from = Math.floor(rank * COHORTS) / COHORTS;
  return (Math.max(from, carrying) + Math.min(from + 1 / COHORTS, settled)) / 2;
}
