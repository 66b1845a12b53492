import { heiferGrowth } from '../requirements/heifer-growth.js';
import { SHRUNK_SHARE_OF_FULL_WEIGHT } from '../requirements/maintenance.js';
import type { AnimalDescription } from '../requirements/requirement-set.js';
import { type CalendarDay, dayNumber } from '../time/calendar-day.js';
import type { BreedingSeason } from './breeding-seasons.js';
import type { CalvingWindow } from './herd-cohorts.js';
import type { HerdOnFile } from './herd-on-file.js';
import type { StagedAnimals } from './herd-stage.js';
import type { GrowthOn } from './herd-weight.js';

const HEIFERS = ['replacement-heifer', 'first-calf-heifer'] as const;
const isHeifer = (cattleClass: string): boolean => (HEIFERS as readonly string[]).includes(cattleClass);

/** Days to the next breeding that is on record; `undefined` where none lies ahead. */
export function daysToBreeding(seasons: readonly BreedingSeason[], day: CalendarDay): number | undefined {
  const today = dayNumber(day);
  const next = seasons.find((season) => season.from > today && season.breeding !== 'assumed');
  return next === undefined ? undefined : next.from - today;
}

/**
 * How heifers grow from day to day by the gain that their need asks for where none is told (`heiferGrowth`); `null`
 * where the herd never held any, or their mature weight is not known.
 */
export function heiferGrowthThrough(
  file: HerdOnFile,
  {
    seasons,
    windows,
    mainOn,
  }: {
    readonly seasons: readonly BreedingSeason[];
    readonly windows: ReadonlyMap<BreedingSeason, CalvingWindow>;
    readonly mainOn: (day: CalendarDay) => StagedAnimals;
  },
): GrowthOn | null {
  const { matureKg } = file;
  const heifersOnce =
    isHeifer(file.entered.cattleClass) ||
    file.facts.some((fact) => fact.kind === 'class' && isHeifer(fact.cattleClass));
  if (matureKg === null || !heifersOnce) return null;
  const animalOn = (day: CalendarDay): Omit<AnimalDescription, 'fullBodyWeightKg'> | null => {
    const { cattleClass, sex, daysPregnant, daysInMilk, hasCalved } = mainOn(day);
    if (!isHeifer(cattleClass)) return null;
    const next = daysToBreeding(seasons, day);
    const open = cattleClass === 'replacement-heifer' && daysPregnant === undefined;
    return {
      class: cattleClass,
      sex,
      breedType: file.breedType,
      matureFullBodyWeightKg: matureKg,
      ...(daysInMilk === undefined ? {} : { daysInMilk }),
      ...(hasCalved === undefined ? {} : { hasCalved }),
      ...(open && next !== undefined ? { daysToBreeding: next } : {}),
      // While the bulls are in, those that have not settled yet grow toward their calving like the others.
      ...(open && exposed(seasons, windows, day) ? { daysPregnant: 0 } : {}),
      ...(daysPregnant === undefined ? {} : { daysPregnant }),
    };
  };
  const known = new Map<CalendarDay, ReturnType<typeof animalOn>>();
  return (day, kg) => {
    let animal = known.get(day);
    if (animal === undefined) {
      animal = animalOn(day);
      known.set(day, animal);
    }
    if (animal === null) return null;
    const growth = heiferGrowth({ ...animal, fullBodyWeightKg: kg }, kg * SHRUNK_SHARE_OF_FULL_WEIGHT);
    return growth.notCountedBecause === null ? growth.gainKgPerDay / SHRUNK_SHARE_OF_FULL_WEIGHT : null;
  };
}

/** A breeding has begun in which most settle, and its calving is still ahead. */
function exposed(
  seasons: readonly BreedingSeason[],
  windows: ReadonlyMap<BreedingSeason, CalvingWindow>,
  day: CalendarDay,
): boolean {
  const today = dayNumber(day);
  return seasons.some(
    (season) => season.from <= today && season.settled >= 0.5 && (windows.get(season)?.median ?? 0) > today,
  );
}
