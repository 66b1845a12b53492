import type { AnimalClass, AnimalDescription, AnimalSex } from '../requirements/requirement-set.js';
import { DEFAULTS } from '../requirements/requirement-defaults.data.js';
import { nrc2000ConceptusWeight } from '../requirements/pregnancy.js';
import type { HerdPart } from '../requirements/requirements-for-herd.js';
import { type CalendarDay, dayFromNumber, dayNumber, daysBetween } from '../time/calendar-day.js';
import type { BreedingSeason } from './breeding-seasons.js';
import { type CalvingWindow, calvingWindows, type Cohort, cohortsOf, seasonsOf } from './herd-cohorts.js';
import { factOn, type FactOf, factsOf, gainWantedOn, type HerdFact, type HerdOnFile } from './herd-on-file.js';
import { type HerdWeight, herdWeightOn } from './herd-weight.js';
import { daysToBreeding, heiferGrowthThrough } from './heifer-path.js';
import { stageOf, type StagedAnimals, type RecordedClass } from './herd-stage.js';
import { type WeightDoubt, weightDoubts, weighingsOfOthers, weightsBeside } from './weight-fit.js';
import { noEffectWords, notesOn, type StandingNote, untilTheNextWords } from './standing-notes.js';

export type { HerdPart } from '../requirements/requirements-for-herd.js';
export type { StandingNote } from './standing-notes.js';

/** A calving of the herd, as recorded or as expected. */
export interface HerdCalving {
  readonly how: BreedingSeason['calving'];
  readonly breeding: BreedingSeason['breeding'];
  readonly first: CalendarDay;
  readonly median: CalendarDay;
  readonly last: CalendarDay;
  /** Share of the whole herd that has calved by the day, and that is open, 0 to 1. */
  readonly shareCalved: number;
  readonly shareOpen: number;
}

/** What is known of a herd on a day, with what it rests on. */
export interface HerdState {
  readonly on: CalendarDay;
  /** By stage; the shares add up to 1. */
  readonly parts: readonly HerdPart[];
  /** The average animal of the largest class, for callers that can use only one. */
  readonly main: AnimalDescription;
  readonly share: { readonly pregnant: number; readonly inMilk: number };
  /** The calving under way or next, else the last. */
  readonly calving: HerdCalving | null;
  readonly condition: {
    readonly score: number;
    readonly on: CalendarDay;
    readonly daysAgo: number;
    /** The one that the herd was entered with, or one that was recorded since. */
    readonly from: 'entry' | 'scored';
  } | null;
  readonly targetGainKgPerDay: number | null;
  readonly placeId: string | null;
  readonly weight: HerdWeight;
  readonly restsOn: readonly StandingNote[];
}

/** A herd whose state is asked for on several days. */
export interface HerdThroughTime {
  readonly on: (day: CalendarDay) => HerdState;
}

/** The state of a herd on a day, read from what is recorded about it. */
export function herdStateOn(file: HerdOnFile, day: CalendarDay): HerdState {
  return herdThroughTime(file).on(day);
}

/** The class that most of a herd is of on a day. */
export function mainClassOn(
  facts: readonly HerdFact[],
  entered: { readonly cattleClass: AnimalClass; readonly sex: AnimalSex },
  day: CalendarDay,
): AnimalClass {
  return stagesOf(facts, entered).mainOn(day).cattleClass;
}

/**
 * Why a class that was told changes nothing as of its day, in words, with what would change it: by breeding, checks,
 * calving and weaning none of the herd is of that class on that day. `undefined` where some of it is, or where another
 * class was told for the same day later.
 */
export function classOfNoEffect(
  facts: readonly HerdFact[],
  entered: { readonly cattleClass: AnimalClass; readonly sex: AnimalSex },
  told: FactOf<'class'>,
): string | undefined {
  const { seasons, cohorts, windows, toldOn, stagedOn } = stagesOf(facts, entered);
  const [recorded, staged] = [toldOn(told.on), stagedOn(told.on)];
  if (recorded.cattleClass !== told.cattleClass) return undefined;
  if (staged.some((one) => one.cattleClass === told.cattleClass)) return undefined;
  return noEffectWords(told, { day: told.on, seasons, cohorts, windows, staged, recorded });
}

/**
 * That a told class holds only for a while, in words: another was on record for a later day when it was told.
 * `undefined` where none was, or that says the same.
 */
export function classUntilTheNext(facts: readonly HerdFact[], told: FactOf<'class'>): string | undefined {
  const entered = ({ recordedAt, id }: HerdFact): string => `${recordedAt} ${id}`;
  const next = factsOf(facts, 'class').find((one) => one.on > told.on);
  if (next === undefined || next.cattleClass === told.cattleClass || entered(next) > entered(told)) return undefined;
  return untilTheNextWords(told, next);
}

/** The stages of a herd on any day, from what is recorded of its class, breeding, calving and weaning. */
function stagesOf(
  facts: readonly HerdFact[],
  entered: { readonly cattleClass: AnimalClass; readonly sex: AnimalSex },
): {
  readonly seasons: readonly BreedingSeason[];
  readonly cohorts: readonly Cohort[];
  readonly windows: ReadonlyMap<BreedingSeason, CalvingWindow>;
  readonly toldOn: (day: CalendarDay) => RecordedClass;
  readonly stagedOn: (day: CalendarDay) => StagedAnimals[];
  readonly mainOn: (day: CalendarDay) => StagedAnimals;
} {
  const classes = factsOf(facts, 'class');
  const seasons = seasonsOf(facts);
  const cohorts = cohortsOf(seasons, facts);
  const toldOn = (day: CalendarDay): RecordedClass => {
    const known = factOn(classes, day);
    return {
      cattleClass: known?.fact.cattleClass ?? entered.cattleClass,
      sex: entered.sex,
      since: known?.since ?? null,
      recordedAt: known?.fact.recordedAt ?? '',
    };
  };
  const stagedOn = (day: CalendarDay): StagedAnimals[] => {
    const recorded = toldOn(day);
    return cohorts.map((cohort) => ({ share: cohort.share, ...stageOf(cohort, seasons, recorded, day) }));
  };
  const windows = calvingWindows(seasons, cohorts);
  return { seasons, cohorts, windows, toldOn, stagedOn, mainOn: (day) => meanOfLargest(stagedOn(day)) };
}

/** Where a herd stands on a day; `null` where nobody has said. */
export function placeOn(facts: readonly HerdFact[], day: CalendarDay): string | null {
  return factOn(factsOf(facts, 'place'), day)?.fact.placeId ?? null;
}

export function herdThroughTime(file: HerdOnFile): HerdThroughTime {
  const conditions = factsOf(file.facts, 'condition');
  const stages = stagesOf(file.facts, { cattleClass: file.entered.cattleClass, sex: file.sex });
  const { seasons, cohorts, windows } = stages;
  const conceptusOn = (day: CalendarDay): number =>
    rounded(stages.stagedOn(day).reduce((sum, one) => sum + one.share * conceptusKg(one.daysPregnant), 0));
  const growthOn = heiferGrowthThrough(file, stages);
  return {
    on: (day) => {
      const staged = stages.stagedOn(day);
      const condition = factOn(conditions, day);
      const target = gainWantedOn(file, day)?.kgPerDay ?? null;
      const main = meanOfLargest(staged);
      const weight = herdWeightOn(file, day, main.cattleClass, conceptusOn, growthOn);
      const score = condition?.fact.score ?? null;
      const describe = animalDescriber(file, weight.kg, score, target, daysToBreeding(stages.seasons, day));
      return {
        on: day,
        parts: near(staged).map((one) => ({ share: one.share, animal: describe(one) })),
        main: describe(main),
        share: {
          pregnant: shareOf(staged, (one) => one.daysPregnant !== undefined),
          inMilk: shareOf(staged, (one) => one.daysInMilk !== undefined),
        },
        calving: calvingOn(stages, day),
        condition:
          score === null || condition === undefined
            ? null
            : {
                score,
                on: condition.fact.on,
                daysAgo: daysBetween(condition.fact.on, day),
                from: condition.fact.opening === true ? 'entry' : 'scored',
              },
        targetGainKgPerDay: target,
        placeId: placeOn(file.facts, day),
        weight,
        restsOn: notesOn({
          day,
          seasons,
          cohorts,
          windows,
          staged,
          weight,
          condition,
          recorded: stages.toldOn(day),
          firstKnown: firstKnownAfter(file, day),
          targetKnown: target !== null,
          leftOut: [...weighingsOfOthers(file, main.cattleClass)].filter(
            (one) => one.on <= day && one.on >= weight.restsOn.on,
          ),
          doubts: doubtsOf(file, stages.mainOn(weight.restsOn.on).cattleClass, weight),
        }),
      };
    },
  };
}

/** What speaks against the weight that a state rests on; a scale shows calf and fluids too. */
function doubtsOf(file: HerdOnFile, cattleClass: AnimalClass, { restsOn }: HerdWeight): WeightDoubt[] {
  const weighed = restsOn.what === 'weigh-in';
  const beside = restsOn.what === 'entry' ? [] : weightsBeside(file, restsOn.on).filter((one) => one.on <= restsOn.on);
  const taken = beside.find((one) => one.on === restsOn.on && (one.how !== 'stated') === weighed);
  const weight = taken ?? { on: restsOn.on, kg: restsOn.kg, how: weighed ? ('weighed' as const) : ('stated' as const) };
  return weightDoubts(cattleClass, weight, beside);
}

/** What was first told after a day: class, place and wanted gain, each from its first record on. */
function firstKnownAfter(
  file: HerdOnFile,
  day: CalendarDay,
): { readonly what: 'class' | 'place' | 'target-gain'; readonly on: CalendarDay }[] {
  return (['class', 'place', 'target-gain'] as const).flatMap((what) => {
    const first = factsOf(file.facts, what)[0];
    const taken = what !== 'target-gain' || gainWantedOn(file, day) !== undefined;
    return first !== undefined && first.on > day && taken ? [{ what, on: first.on }] : [];
  });
}

function conceptusKg(daysPregnant: number | undefined): number {
  if (daysPregnant === undefined) return 0;
  return nrc2000ConceptusWeight({ calfBirthWeightKg: DEFAULTS.calfBirthWeightKg, daysPregnant }).conceptusWeightKg;
}

function shareOf(staged: readonly StagedAnimals[], is: (one: StagedAnimals) => boolean): number {
  return rounded(staged.filter(is).reduce((sum, one) => sum + one.share, 0));
}

/** Rounds sums of shares: 0.35, not 0.35000000000000003. */
const rounded = (share: number): number => Number(share.toFixed(6));

const BUNDLE_DAYS = 7;

/** Animals whose stages are within a week of each other form one part, at their midpoint. */
function near(staged: readonly StagedAnimals[]): StagedAnimals[] {
  const bundles: StagedAnimals[][] = [];
  for (const one of staged) {
    const bundle = bundles.find(([first]) => first !== undefined && together(first, one));
    if (bundle === undefined) bundles.push([one]);
    else bundle.push(one);
  }
  return bundles.map(meanOf);
}

function together(first: StagedAnimals, one: StagedAnimals): boolean {
  const close = (a: number | undefined, b: number | undefined): boolean =>
    a === undefined || b === undefined ? a === b : Math.abs(a - b) <= BUNDLE_DAYS;
  return (
    first.cattleClass === one.cattleClass &&
    first.sex === one.sex &&
    first.hasCalved === one.hasCalved &&
    close(first.daysPregnant, one.daysPregnant) &&
    close(first.daysInMilk, one.daysInMilk)
  );
}

function meanOf(bundle: readonly StagedAnimals[]): StagedAnimals {
  const [first] = bundle;
  if (first === undefined) throw new RangeError('A mean needs at least one');
  const share = bundle.reduce((sum, one) => sum + one.share, 0);
  const mean = (days: (one: StagedAnimals) => number | undefined): number | undefined => {
    const known = bundle.filter((one) => days(one) !== undefined);
    const whole = known.reduce((sum, one) => sum + one.share, 0);
    return whole === 0
      ? undefined
      : Math.round(rounded(known.reduce((sum, one) => sum + one.share * (days(one) ?? 0), 0) / whole));
  };
  return {
    ...first,
    share: rounded(share),
    daysPregnant: mean((one) => one.daysPregnant),
    daysInMilk: mean((one) => one.daysInMilk),
  };
}

/** The mean of the class that most of the herd is of, pregnant and open apart. */
function meanOfLargest(staged: readonly StagedAnimals[]): StagedAnimals {
  const groups = new Map<string, StagedAnimals[]>();
  for (const one of staged) {
    const stage = [one.daysInMilk !== undefined, one.daysPregnant !== undefined, one.hasCalved === true];
    const key = [one.cattleClass, ...stage].join(' ');
    groups.set(key, [...(groups.get(key) ?? []), one]);
  }
  const means = [...groups.values()].map(meanOf);
  return means.reduce((best, one) => (one.share > best.share ? one : best));
}

function animalDescriber(
  file: HerdOnFile,
  kg: number,
  score: number | null,
  target: number | null,
  daysToNext: number | undefined,
): (one: StagedAnimals) => AnimalDescription {
  return ({ cattleClass, sex, daysPregnant, daysInMilk, hasCalved }) => ({
    class: cattleClass,
    sex,
    breedType: file.breedType,
    fullBodyWeightKg: kg,
    ...(file.matureKg === null ? {} : { matureFullBodyWeightKg: file.matureKg }),
    ...(score === null ? {} : { bodyConditionScore: score }),
    ...(daysPregnant === undefined ? {} : { daysPregnant }),
    ...(daysInMilk === undefined ? {} : { daysInMilk }),
    ...(hasCalved === undefined ? {} : { hasCalved }),
    ...(daysToNext === undefined || cattleClass !== 'replacement-heifer' || daysPregnant !== undefined
      ? {}
      : { daysToBreeding: daysToNext }),
    ...(file.peakMilkKg === null ? {} : { peakMilkKgPerDay: file.peakMilkKg }),
    ...(target === null ? {} : { targetShrunkGainKgPerDay: target }),
  });
}

function calvingOn(
  {
    seasons,
    cohorts,
    windows,
  }: {
    readonly seasons: readonly BreedingSeason[];
    readonly cohorts: readonly Cohort[];
    readonly windows: ReadonlyMap<BreedingSeason, CalvingWindow>;
  },
  day: CalendarDay,
): HerdCalving | null {
  const today = dayNumber(day);
  const begun = seasons.filter((season) => season.from <= today);
  const carried = begun.filter((one) => cohorts.some((each) => each.pregnancies.some(({ season }) => season === one)));
  const season = carried.find((one) => (windows.get(one)?.last ?? 0) >= today) ?? carried.at(-1) ?? begun.at(-1);
  const window = season === undefined ? undefined : windows.get(season);
  if (season === undefined || window === undefined) return null;
  const shareCalved = cohorts
    .filter((cohort) => cohort.pregnancies.some((one) => one.season === season && one.calves <= today))
    .reduce((sum, cohort) => sum + cohort.share, 0);
  return {
    how: season.calving,
    breeding: season.breeding,
    first: dayFromNumber(window.first),
    median: dayFromNumber(window.median),
    last: dayFromNumber(window.last),
    shareCalved: rounded(shareCalved),
    shareOpen: rounded(1 - season.settled),
  };
}
