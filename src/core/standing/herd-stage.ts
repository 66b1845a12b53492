import { type AnimalClass, type AnimalSex, MATURE_COWS } from '../requirements/requirement-set.js';
import { type CalendarDay, dayNumber } from '../time/calendar-day.js';
import type { BreedingSeason } from './breeding-seasons.js';
import type { Cohort, Pregnancy } from './herd-cohorts.js';

/** What a share of a herd is on a day. */
export interface Stage {
  readonly cattleClass: AnimalClass;
  readonly sex: AnimalSex;
  readonly daysPregnant?: number | undefined;
  readonly daysInMilk?: number | undefined;
  /** First-calf heifers: they weaned their calf and are dry. */
  readonly hasCalved?: boolean;
  /** False where the recorded class needs a stage that nothing on record gives. */
  readonly known: boolean;
}

export interface StagedAnimals extends Stage {
  readonly share: number;
}

/** The recorded class, and since when; `null`: it was first recorded later. */
export interface RecordedClass {
  readonly cattleClass: AnimalClass;
  readonly sex: AnimalSex;
  readonly since: CalendarDay | null;
  /** When it was entered; later entries know better. */
  readonly recordedAt: string;
}

const BREEDING_CLASSES: readonly AnimalClass[] = [...MATURE_COWS, 'first-calf-heifer', 'replacement-heifer'];

/** No cow carries longer than this; of one bred earlier that never calved, nothing is known. */
const CARRIES_DAYS_MAX = 300;

/** The stage of a cohort on a day: what happened to it changes the recorded class only where it must. */
export function stageOf(
  cohort: Cohort,
  seasons: readonly BreedingSeason[],
  recorded: RecordedClass,
  day: CalendarDay,
): Stage {
  if (!BREEDING_CLASSES.includes(recorded.cattleClass))
    return { cattleClass: recorded.cattleClass, sex: recorded.sex, known: true };
  const today = dayNumber(day);
  const since = recorded.since === null ? -Infinity : dayNumber(recorded.since);
  const calved = cohort.pregnancies.filter((one) => one.calves <= today);
  const pregnant = cohort.pregnancies.find(
    (one) => one.conceived <= today && one.calves > today && today - one.conceived <= CARRIES_DAYS_MAX,
  );
  const open = pregnant !== undefined && saidOpenSince(recorded, since, pregnant);
  const daysPregnant = pregnant === undefined || open ? undefined : today - pregnant.conceived;
  const last = calved.at(-1);
  const daysInMilk = last !== undefined && milks(last, recorded, since, today) ? today - last.calves : undefined;
  const age = classByCalvings(recorded, since, cohort.pregnancies, calved.length, today);
  const known =
    daysPregnant !== undefined ||
    daysInMilk !== undefined ||
    open ||
    recorded.cattleClass === 'dry-open-cow' ||
    age === 'replacement-heifer' ||
    isKnownEmpty(cohort, seasons, last, recorded, today);
  if (!known) return { cattleClass: recorded.cattleClass, sex: recorded.sex, known };
  const stage = { ...named(age, recorded, daysPregnant, daysInMilk), daysPregnant, daysInMilk, known };
  const weaned = stage.cattleClass === 'first-calf-heifer' && daysInMilk === undefined && last !== undefined;
  return weaned ? { ...stage, hasCalved: true } : stage;
}

/**
 * They were recorded as open after the breeding, and no breeding was entered since, nor a check of a later day, which
 * tells who of them is.
 */
function saidOpenSince(recorded: RecordedClass, since: number, { conceived, season }: Pregnancy): boolean {
  if (recorded.cattleClass !== 'dry-open-cow' || since <= conceived) return false;
  const { check } = season;
  if (check !== null && check.recordedAt >= recorded.recordedAt && dayNumber(check.on) > since) return false;
  return season.breeding === 'assumed' || !season.bred.some((one) => one.recordedAt > recorded.recordedAt);
}

const DRY_CLASSES: readonly AnimalClass[] = ['dry-open-cow', 'dry-pregnant-cow', 'replacement-heifer'];

/** In milk until weaning; a class recorded after the calving says so itself. */
function milks(last: Pregnancy, recorded: RecordedClass, since: number, today: number): boolean {
  const { calved, calvedBy } = last.season;
  // While a calving is expected, a class recorded for the whole herd says nothing about the first to calve.
  const saysSo =
    calved === null ? since > calvedBy(1) : since > last.calves && calved.recordedAt <= recorded.recordedAt;
  if (saysSo) {
    if (recorded.cattleClass === 'lactating-cow') return last.weaning === 'expected' || last.weaned > today;
    if (DRY_CLASSES.includes(recorded.cattleClass)) return false;
  }
  return last.weaned > today;
}

type Age = 'replacement-heifer' | 'first-calf-heifer' | 'cow';

/** Heifers calve once as replacement heifers and are first-calf heifers; with the second calf they are cows. */
function classByCalvings(
  { cattleClass }: RecordedClass,
  since: number,
  pregnancies: readonly Pregnancy[],
  calvings: number,
  today: number,
): Age {
  if (MATURE_COWS.includes(cattleClass)) return 'cow';
  // Recorded later: before she was bred she was a heifer to be bred.
  const [first] = pregnancies;
  if (since === -Infinity && first !== undefined && first.conceived > today) return 'replacement-heifer';
  const before = pregnancies.filter((one) => one.calves <= since).length;
  const after = calvings - before;
  if (cattleClass === 'replacement-heifer')
    return after <= 0 ? 'replacement-heifer' : after === 1 ? 'first-calf-heifer' : 'cow';
  return after <= (before > 0 ? 0 : 1) ? 'first-calf-heifer' : 'cow';
}

/** Neither pregnant nor in milk, and the books say so: exposed and not settled, or dry since a calving. */
function isKnownEmpty(
  cohort: Cohort,
  seasons: readonly BreedingSeason[],
  last: Pregnancy | undefined,
  recorded: RecordedClass,
  today: number,
): boolean {
  const since = recorded.since === null ? -Infinity : dayNumber(recorded.since);
  const dry = last !== undefined && last.weaned <= today && since <= last.weaned;
  if (dry && last.season.breeding !== 'assumed') return true;
  const begun = seasons.filter((season) => season.from <= today);
  const newest = begun.at(-1);
  // Open until they are exposed again; but a class told once the others had calved speaks of all of them.
  if (newest !== undefined && cohort.missed.includes(newest))
    return since <= newest.calvedBy(1) || recorded.cattleClass !== 'dry-pregnant-cow';
  return begun.some(
    (season) =>
      today - season.from <= CARRIES_DAYS_MAX &&
      cohort.pregnancies.some((one) => one.season === season && one.conceived > today),
  );
}

function named(
  age: Age,
  recorded: RecordedClass,
  daysPregnant: number | undefined,
  daysInMilk: number | undefined,
): Pick<Stage, 'cattleClass' | 'sex'> {
  const { sex } = recorded;
  if (age === 'replacement-heifer') return { cattleClass: age, sex };
  // A heifer that weaned her first calf and is not with the next is fed as the dry cow that she is.
  if (age === 'first-calf-heifer' && (daysPregnant !== undefined || daysInMilk !== undefined))
    return { cattleClass: age, sex };
  const cow: AnimalSex = MATURE_COWS.includes(recorded.cattleClass) ? sex : 'cow';
  if (daysInMilk !== undefined) return { cattleClass: 'lactating-cow', sex: cow };
  return { cattleClass: daysPregnant === undefined ? 'dry-open-cow' : 'dry-pregnant-cow', sex: cow };
}
