import type { AnimalClass } from '../requirements/requirement-set.js';
import { addDays, type CalendarDay, dayFromNumber, dayNumber, daysBetween } from '../time/calendar-day.js';
import { type BredSeason, bredSeasons } from './breeding-seasons.js';
import { calvingWindows, cohortsOf, seasonsOf } from './herd-cohorts.js';
import { factOn, type FactOf, factsOf, type HerdFact } from './herd-on-file.js';
import {
  BULLS_BEFORE_CALVING_DAYS_MAX,
  CALVING_MATCH_DAYS,
  FIRST_CALF_LATE_DAYS_MAX,
  GESTATION,
  SEASON_DAYS_MAX,
  VIABLE_GESTATION,
  WEANED_WITHIN_DAYS,
} from './standing.data.js';

/** Why a fact cannot be true together with those that stand, and what may be written instead. */
interface Misfit {
  readonly code:
    | 'calving-outside-breeding'
    | 'last-calf-outside-breeding'
    | 'all-open'
    | 'not-calved'
    | 'weaned-already'
    | 'recorded-already';
  /** Which day of a calving it is; the first where none is named. */
  readonly field?: 'medianOn' | 'lastOn';
  readonly given: string;
  readonly allowed: string;
  readonly message: string;
}

/**
 * Whether a new fact fits those that stand. Only what cannot be is found here: a calving that the breeding does not
 * give, calves of cows that were all open, a weaning where nothing has calved, a second weaning of the same calves, and
 * what is on record already.
 * @param entered the class that a herd without a told one was entered with
 */
export function misfitOf(standing: readonly HerdFact[], fact: HerdFact, entered: AnimalClass): Misfit | undefined {
  switch (fact.kind) {
    case 'calved':
      return doubled(standing, fact) ?? calvingMisfit(standing, fact);
    case 'bred':
    case 'pregnancy-check':
      return doubled(standing, fact) ?? earlierMisfit(standing, fact);
    case 'weaned':
      return weaningMisfit(standing, fact, entered);
    default:
      return undefined;
  }
}

type Doubling = FactOf<'bred'> | FactOf<'pregnancy-check'> | FactOf<'calved'>;

const DOUBLED = { bred: 'breeding', 'pregnancy-check': 'pregnancy check', calved: 'calving' } as const;

/**
 * A fact that stands to the digit, as where two files overlap. Of days that replace each other (mean days, checks,
 * calvings) only the last one written stands: what it replaced may be entered again.
 */
function doubled(standing: readonly HerdFact[], fact: Doubling): Misfit | undefined {
  const kind = factsOf(standing, fact.kind);
  const addsUp = fact.kind === 'bred' && fact.service !== null;
  const last = kind.reduce<HerdFact | undefined>(
    (best, one) => (best === undefined || one.recordedAt >= best.recordedAt ? one : best),
    undefined,
  );
  if (!(addsUp ? kind : [last]).some((one) => one !== undefined && contentOf(one) === contentOf(fact)))
    return undefined;
  return {
    code: 'recorded-already',
    given: fact.on,
    allowed: 'what is not on record yet',
    message:
      `The same ${DOUBLED[fact.kind]} of ${fact.on} is on record for this herd. Leave it out; if the one on record ` +
      'is wrong, reverse it first.',
  };
}

function contentOf({ id: _id, recordedAt: _recordedAt, ...fact }: HerdFact): string {
  return JSON.stringify(Object.entries(fact).sort());
}

/** The days on which the calves of a breeding may come. */
interface CalvingDays {
  readonly season: BredSeason;
  readonly from: CalendarDay;
  readonly until: CalendarDay;
  /** On which they are likely to come; `null` where only the mean day of the breeding is known. */
  readonly likely: readonly [from: CalendarDay, until: CalendarDay] | null;
}

function calvingDays(facts: readonly HerdFact[]): CalvingDays[] {
  const seasons = seasonsOf(facts);
  const windows = calvingWindows(seasons, cohortsOf(seasons, facts));
  return bredSeasons(facts).map((season) => {
    const [first] = season.bred;
    const expected = seasons.find((one) => one.breeding === 'recorded' && one.bred[0]?.id === first.id);
    const mean = addDays(first.on, GESTATION.meanDays.value);
    const exposed = season.bred.some((one) => one.service !== null);
    if (!exposed)
      return {
        season,
        from: addDays(mean, -CALVING_MATCH_DAYS),
        until: addDays(mean, CALVING_MATCH_DAYS),
        likely: null,
      };
    const due = dayNumber(lastExposed(season)) + GESTATION.meanDays.value;
    const plainlyExpected = expected?.calving === 'expected' ? (windows.get(expected)?.last ?? 0) : 0;
    const spread = GESTATION.spreadDays.value;
    return {
      season,
      from: addDays(first.on, VIABLE_GESTATION.value),
      until: addDays(dayFromNumber(Math.max(due, plainlyExpected)), FIRST_CALF_LATE_DAYS_MAX),
      likely: [addDays(mean, -spread), dayFromNumber(Math.max(due + spread, plainlyExpected))],
    };
  });
}

/** The breeding that a calving should be of, and whether it can be; none where no record speaks of it. */
function breedingOf(
  facts: readonly HerdFact[],
  { on }: FactOf<'calved'>,
): { readonly days: CalvingDays; readonly fits: boolean } | undefined {
  const all = calvingDays(facts);
  const fitting = all.findLast((one) => one.from <= on && on <= one.until);
  if (fitting !== undefined) return { days: fitting, fits: true };
  // Cows that calve when every bull is out again did not settle to them, however short the breeding was.
  const begun = all.findLast(
    (one) => addDays(one.season.bred[0].on, BULLS_BEFORE_CALVING_DAYS_MAX) < on || lastExposed(one.season) < on,
  );
  // A year on they may have been bred again without a word.
  if (begun === undefined || on >= addDays(begun.from, 365)) return undefined;
  return { days: begun, fits: false };
}

function calvingMisfit(standing: readonly HerdFact[], calved: FactOf<'calved'>): Misfit | undefined {
  const others = standing.filter((one) => one.kind !== 'calved');
  const found = breedingOf(others, calved);
  if (found === undefined) return undefined;
  const { days, fits } = found;
  const allowed = `${days.from} to ${days.until}`;
  if (!fits)
    return {
      code: 'calving-outside-breeding',
      given: calved.on,
      allowed,
      message:
        `${bredWords(days.season)}, the herd has its first calf from ${days.from} to ${days.until}, not on ` +
        `${calved.on}. If the days of the breeding are wrong, reverse it and enter the right ones first; if these ` +
        'calves are of another breeding, enter that one first. A cow that lost her calf is no calving of the herd: ' +
        'enter a pregnancy check with her among the open.',
    };
  const late = lateCalf(calved);
  if (days.likely !== null && late !== undefined && late.day > days.until)
    return {
      code: 'last-calf-outside-breeding',
      field: late.field,
      given: late.day,
      allowed: `${calved.on} to ${days.until}`,
      message:
        `${bredWords(days.season)}, the herd has its last calf by ${days.until}, not on ${late.day}. If cows were ` +
        'bred later than recorded, enter that breeding first.',
    };
  const { check } = days.season;
  if (check === null || check.headOpen < check.headChecked) return undefined;
  return {
    code: 'all-open',
    given: calved.on,
    allowed: 'no calving while the pregnancy check finds all of them open',
    message:
      `All ${check.headChecked} were open at the pregnancy check of ${check.on}, so none of this breeding calves. ` +
      'If the check is wrong, reverse it and enter the right figures first.',
  };
}

/** The latest calf that a calving tells of, beside its first. */
function lateCalf({
  medianOn,
  lastOn,
}: FactOf<'calved'>): { field: 'medianOn' | 'lastOn'; day: CalendarDay } | undefined {
  if (lastOn !== null) return { field: 'lastOn', day: lastOn };
  return medianOn === null ? undefined : { field: 'medianOn', day: medianOn };
}

/**
 * What is unlikely of a calving, in words: calves earlier or later than cows of its breeding carry, or where none is on
 * record, a calving longer than a breeding season makes it.
 */
export function calvingDoubt(standing: readonly HerdFact[], calved: FactOf<'calved'>): string | undefined {
  const found = breedingOf(
    standing.filter((one) => one.kind !== 'calved'),
    calved,
  );
  const last = lateCalf(calved)?.day ?? calved.on;
  const span = daysBetween(calved.on, last);
  if (found === undefined && span > SEASON_DAYS_MAX + 2 * GESTATION.spreadDays.value)
    return (
      `A calving from ${calved.on} to ${last} takes ${span} days, longer than a breeding season makes it. If ` +
      'the last day is wrong, reverse it; if the herd calves all year, enter its breeding.'
    );
  if (found === undefined || !found.fits || found.days.likely === null) return undefined;
  const { season, likely } = found.days;
  const [from, until] = likely;
  if (calved.on >= from && last <= until) return undefined;
  const words = calved.on < from ? `the first calf on ${calved.on}` : `the last calf on ${last}`;
  return (
    `${bredWords(season)}, calves are due from ${from} to ${until}; ${words} is unlikely. Check the days of the ` +
    'calving and of the breeding; if one is wrong, reverse it.'
  );
}

/** A breeding or a check that is recorded after the calving it speaks against. */
function earlierMisfit(
  standing: readonly HerdFact[],
  fact: FactOf<'bred'> | FactOf<'pregnancy-check'>,
): Misfit | undefined {
  for (const calved of factsOf(standing, 'calved')) {
    const misfit = calvingMisfit([...standing, fact], calved);
    if (misfit === undefined || calvingMisfit(standing, calved) !== undefined) continue;
    return {
      ...misfit,
      given: fact.on,
      allowed: `what fits the calving of ${calved.on}`,
      message:
        `A calving of ${calved.on} is recorded. ${misfit.message} If that calving is wrong, ` + 'reverse it first.',
    };
  }
  return undefined;
}

function lastExposed({ bred }: BredSeason): CalendarDay {
  return bred.reduce((latest, one) => (one.lastOn > latest ? one.lastOn : latest), bred[0].lastOn);
}

function bredWords(season: BredSeason): string {
  const [first] = season.bred;
  const last = lastExposed(season);
  return last === first.on ? `Bred on ${first.on}` : `Bred from ${first.on} to ${last}`;
}

function weaningMisfit(
  standing: readonly HerdFact[],
  weaned: FactOf<'weaned'>,
  entered: AnimalClass,
): Misfit | undefined {
  const seasons = seasonsOf(standing);
  const calves = cohortsOf(seasons, standing).flatMap((cohort) => cohort.pregnancies.map((one) => one.calves));
  const day = dayNumber(weaned.on);
  const before = factsOf(standing, 'weaned').find((one) => {
    const [from, until] = [Math.min(dayNumber(one.on), day), Math.max(dayNumber(one.on), day)];
    return until - from <= WEANED_WITHIN_DAYS && !calves.some((born) => born > from && born <= until);
  });
  if (before !== undefined)
    return {
      code: 'weaned-already',
      given: weaned.on,
      allowed: 'one weaning after each calving',
      message:
        `These calves were recorded as weaned on ${before.on}. If that day is wrong, reverse it and enter the ` +
        'right one.',
    };
  if (calves.some((born) => born <= day && day - born <= WEANED_WITHIN_DAYS)) return undefined;
  const cattleClass = factOn(factsOf(standing, 'class'), weaned.on)?.fact.cattleClass ?? entered;
  if (cattleClass === 'lactating-cow' || cattleClass === 'first-calf-heifer') return undefined;
  return {
    code: 'not-calved',
    given: weaned.on,
    allowed: `a day within ${WEANED_WITHIN_DAYS} days after a calving`,
    message:
      `No calving is recorded or expected in the ${WEANED_WITHIN_DAYS} days before ${weaned.on}, so there ` +
      'are no calves to wean. Enter the breeding or the calving first.',
  };
}
