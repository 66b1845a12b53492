import { type BreedingSeason, breedingSeasons, DAYS_A_YEAR, seasonAYearOn } from './breeding-seasons.js';
import { type HerdFact, factsOf } from './herd-on-file.js';
import { ONE_SEASON_DAYS, WEANING_AGE } from './standing.data.js';
import type { AnimalClass } from '../requirements/requirement-set.js';
import { dayNumber } from '../time/calendar-day.js';

/** A herd is split into this many equal shares, so that no day of calving moves more than one of them. */
const COHORTS = 20;
/** A cow does not conceive earlier after calving; common practice, no source. */
const REST_AFTER_CALVING_DAYS = 40;

/** A pregnancy of a cohort, by day numbers. */
export interface Pregnancy {
  readonly season: BreedingSeason;
  readonly conceived: number;
  readonly calves: number;
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
  const cuts = [
    ...new Set([
      ...Array.from({ length: COHORTS + 1 }, (_, index) => index / COHORTS),
      ...seasons.map((season) => season.settled),
    ]),
  ].sort((one, other) => one - other);
  return cuts.slice(1).map((until, index) => {
    const from = cuts[index] ?? 0;
    return { share: until - from, ...historyOf((from + until) / 2, seasons, weanings) };
  });
}

/** What the animals at this rank of the herd went through; those that settle first in one season do so in the next. */
function historyOf(
  rank: number,
  seasons: readonly BreedingSeason[],
  weanings: readonly number[],
): Pick<Cohort, 'pregnancies' | 'missed'> {
  const pregnancies: Pregnancy[] = [];
  const missed: BreedingSeason[] = [];
  for (const season of seasons) {
    if (rank >= season.settled) {
      missed.push(season);
      continue;
    }
    const share = rankIn(season, rank) / season.settled;
    const rested = (pregnancies.at(-1)?.calves ?? -Infinity) + REST_AFTER_CALVING_DAYS;
    const late = Math.max(0, rested - season.conceivedBy(share));
    const calves = season.calvedBy(share) + (season.calving === 'expected' ? late : 0);
    const weaning = weanings.find((day) => day > calves && day - calves <= WEANED_WITHIN_DAYS);
    pregnancies.push({
      season,
      conceived: Math.min(season.conceivedBy(share) + late, calves),
      calves,
      weaned: weaning ?? season.calvedBy(0.5) + WEANING_AGE.value,
      weaning: weaning === undefined ? 'expected' : 'recorded',
    });
  }
  return { pregnancies, missed };
}

/** The middle of the equal share that a rank lies in, as far as it settled; how other seasons cut it does not count. */
function rankIn({ settled }: BreedingSeason, rank: number): number {
  const from = Math.floor(rank * COHORTS) / COHORTS;
  return (from + Math.min(from + 1 / COHORTS, settled)) / 2;
}

/** A weaning later than this is not of these calves; common practice, no source. */
const WEANED_WITHIN_DAYS = 365 - ONE_SEASON_DAYS + 90;
