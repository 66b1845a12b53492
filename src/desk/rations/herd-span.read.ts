import { Injectable } from '@nestjs/common';
import { pregnancyOf } from '../../core/judge/pregnancy.js';
import type { AnimalDescription } from '../../core/requirements/requirement-set.js';
import { addDays } from '../../core/time/calendar-day.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { type HerdFacts, HerdFactsRead, type HerdOnDay } from '../facts/herd-facts.js';

/**
 * `known`: the weather known on the first day, which covers a span of up to a week, and only that day of a longer one;
 * `usual`: the mean of the month, or what stands in for it (`weatherOfDay`); `none`: mild.
 */
export const SPAN_WEATHER = ['known', 'usual', 'none'] as const;
export type SpanWeather = (typeof SPAN_WEATHER)[number];

/** Known weather says nothing about days further off. */
const WEEK = 7;

/** Days of a span that are treated alike, with the herd as it is in the middle of them. */
export interface SpanPart {
  readonly from: string;
  readonly until: string;
  readonly days: number;
  readonly herd: HerdOnDay;
}

/** A herd over a span of days. */
export interface HerdSpan {
  readonly weather: SpanWeather;
  readonly from: string;
  readonly until: string;
  /** Week by week; if the first day's weather counts for that day alone, that day is on its own. */
  readonly weeks: readonly SpanPart[];
  /** Each of its days: what is laid alike on all of them must suit the herd on every one. */
  readonly everyDay: readonly HerdOnDay[];
  /** Mean full body weight on the day on which they weigh least, and on which they weigh most, kg. */
  readonly lightestKg: number;
  readonly heaviestKg: number;
  /** The mean animal in the middle of the span. */
  readonly animal: AnimalDescription;
  /** Every kind of animal in the herd on any of the days, by stage. */
  readonly animals: readonly AnimalDescription[];
  /** Any of them carries a calf, or may: what harms it is kept from all. */
  readonly mayBePregnant: boolean;
  /** Mean temperature of the hottest of these days, as far as weather counts; `null` where none does. */
  readonly hottestC: number | null;
}

/** Gathers a herd over a span of days, as its stage, weight and usual weather change. */
@Injectable()
export class HerdSpanRead {
  constructor(private readonly herds: HerdFactsRead) {}

  async of(
    tenant: OperationTenant,
    herd: HerdFacts,
    { days, weather = days <= WEEK ? 'known' : 'usual' }: { days: number; weather?: SpanWeather | undefined },
  ): Promise<HerdSpan> {
    const through = (await this.herds.throughTime(tenant, [herd.herd], herd.on)).get(herd.herd.id);
    const inWeather = (day: string): HerdOnDay => {
      const facts = through?.(day) ?? herd;
      if (weather === 'known' && (day === herd.on || days <= WEEK))
        return { ...facts, weather: herd.weather, weatherAsked: 'known' };
      return weather === 'none' ? { ...facts, weather: null, weatherAsked: 'none' } : facts;
    };
    const everyDay = Array.from({ length: days }, (_none, after) => inWeather(addDays(herd.on, after)));
    const weeks = weeksOf(herd.on, days, weather === 'known').map(({ from, length }): SpanPart => ({
      from,
      until: addDays(from, length - 1),
      days: length,
      herd: inWeather(addDays(from, Math.floor(length / 2))),
    }));
    const animals = kindsOf(everyDay);
    const weights = everyDay.map(({ animal }) => animal.fullBodyWeightKg);
    return {
      weather,
      from: herd.on,
      until: addDays(herd.on, days - 1),
      weeks,
      everyDay,
      lightestKg: Math.min(...weights),
      heaviestKg: Math.max(...weights),
      animal: weeks[Math.floor(weeks.length / 2)]?.herd.animal ?? herd.animal,
      animals,
      mayBePregnant: pregnancyOf(animals) !== 'no',
      hottestC: weather === 'none' ? null : hottestOf([herd, ...everyDay]),
    };
  }
}

/** One animal of each kind on any of the days: what harms it goes by class, calf and milk. The lightest of each. */
function kindsOf(days: readonly HerdOnDay[]): AnimalDescription[] {
  const kinds = new Map<string, AnimalDescription>();
  for (const animal of days.flatMap((day) => day.standing.parts.map((part) => part.animal))) {
    const { class: animalClass, daysPregnant, daysInMilk, daysToBreeding, fullBodyWeightKg } = animal;
    const stage = [daysPregnant === undefined, daysInMilk === undefined, daysToBreeding === undefined];
    const key = [animalClass, pregnancyOf([animal]), ...stage].join(' ');
    const found = kinds.get(key);
    if (found === undefined || fullBodyWeightKg < found.fullBodyWeightKg) kinds.set(key, animal);
  }
  return [...kinds.values()];
}

function hottestOf(days: readonly Pick<HerdFacts, 'weather'>[]): number | null {
  const known = days.flatMap(({ weather }) => (weather === null ? [] : [weather.temperatureC]));
  return known.length === 0 ? null : Math.max(...known);
}

function weeksOf(on: string, days: number, firstDayApart: boolean): { from: string; length: number }[] {
  const weeks: { from: string; length: number }[] = [];
  for (let gone = 0; gone < days;) {
    const length = days <= WEEK ? days : gone === 0 && firstDayApart ? 1 : Math.min(WEEK, days - gone);
    weeks.push({ from: addDays(on, gone), length });
    gone += length;
  }
  return weeks;
}
