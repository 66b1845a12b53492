import { Injectable } from '@nestjs/common';
import type { Outcome } from '../../core/outcome/outcome.js';
import { pregnancyOf } from '../../core/judge/pregnancy.js';
import { meanOfHerd } from '../../core/requirements/mean-of-herd.js';
import type { AnimalDescription, DietContext, RequirementSet } from '../../core/requirements/requirement-set.js';
import { addDays } from '../../core/time/calendar-day.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { type HerdFacts, HerdFactsRead } from '../facts/herd-facts.js';
import { type JudgeOptions, needOf } from '../judge/ration-judge.js';

/**
 * `known`: the weather known on the first day, which covers a span of up to a week, and only that day of a longer one;
 * `usual`: the mean of the month, where enough of its days are on record; `none`: mild.
 */
export const SPAN_WEATHER = ['known', 'usual', 'none'] as const;
export type SpanWeather = (typeof SPAN_WEATHER)[number];

/** Known weather says nothing about days further off. */
const WEEK = 7;
/** At most this many weeks of a span go into its mean, spread evenly over it. */
const MOST_SAMPLES = 12;

/** Days of a span that are treated alike, with the herd as it is in the middle of them. */
export interface SpanPart {
  readonly from: string;
  readonly until: string;
  readonly days: number;
  readonly herd: HerdFacts;
}

/** A herd over a span of days. */
export interface HerdSpan {
  readonly weather: SpanWeather;
  readonly from: string;
  readonly until: string;
  /** Week by week; if the first day's weather counts for that day alone, that day is on its own. */
  readonly weeks: readonly SpanPart[];
  /** Its first and its last day: what is laid alike on all days must suit the herd as it comes in and goes out. */
  readonly ends: readonly HerdFacts[];
  /** Mean full body weight on the day on which they weigh least, kg. */
  readonly lightestKg: number;
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
    const onDay = (day: string): HerdFacts => ({ ...herd, ...through?.(day) });
    const inWeather = (day: string, isFirst: boolean): HerdFacts => {
      const facts = onDay(day);
      if (weather === 'known' && (isFirst || days <= WEEK))
        return { ...facts, weather: herd.weather, weatherAsked: 'known' };
      return weather === 'none' ? { ...facts, weather: null, weatherAsked: 'none' } : facts;
    };
    const weeks = weeksOf(herd.on, days, weather === 'known').map(({ from, length }, index): SpanPart => ({
      from,
      until: addDays(from, length - 1),
      days: length,
      herd: inWeather(addDays(from, Math.floor(length / 2)), index === 0),
    }));
    const until = addDays(herd.on, days - 1);
    const ends = [inWeather(herd.on, true), inWeather(until, days === 1)];
    const everyDay = [...ends, ...weeks.map((week) => week.herd)];
    const animals = everyDay.flatMap((day) => day.standing.parts.map((part) => part.animal));
    return {
      weather,
      from: herd.on,
      until,
      weeks,
      ends,
      lightestKg: Math.min(...everyDay.map(({ animal }) => animal.fullBodyWeightKg)),
      animal: weeks[Math.floor(weeks.length / 2)]?.herd.animal ?? herd.animal,
      animals,
      mayBePregnant: pregnancyOf(animals) !== 'no',
      hottestC: weather === 'none' ? null : hottestOf([herd, ...everyDay]),
    };
  }
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

/** What one animal needs on a diet, averaged over the span. */
export function needOverSpan({ weeks, ends }: Pick<HerdSpan, 'weeks' | 'ends'>, options: JudgeOptions) {
  const step = Math.ceil(weeks.length / MOST_SAMPLES);
  const samples = Array.from({ length: Math.ceil(weeks.length / step) }, (_none, index) => {
    const alike = weeks.slice(index * step, (index + 1) * step);
    const middle = alike[Math.floor(alike.length / 2)];
    return { days: alike.reduce((sum, week) => sum + week.days, 0), week: middle };
  });
  const known = new Map<string, Outcome<RequirementSet>>();
  return (diet: DietContext): Outcome<RequirementSet> => {
    const key = JSON.stringify(diet);
    const found = known.get(key) ?? meanNeed(samples, ends, options, diet);
    known.set(key, found);
    return found;
  };
}

function meanNeed(
  samples: readonly { readonly days: number; readonly week: SpanPart | undefined }[],
  ends: readonly HerdFacts[],
  options: JudgeOptions,
  diet: DietContext,
): Outcome<RequirementSet> {
  const sets: { share: number; set: RequirementSet }[] = [];
  const asked = Object.keys(diet).length === 0 ? {} : { diet };
  for (const { days, week } of samples) {
    if (week === undefined) continue;
    const need = needOf(week.herd, options, asked);
    if (!need.ok) return need;
    sets.push({ share: days, set: need.value });
  }
  const mean = meanOfHerd(sets);
  const intakes = sets.map(({ set }) => set.dryMatterIntakeKgPerDay);
  for (const end of ends) {
    const need = needOf(end, options, asked);
    if (need.ok) intakes.push(need.value.dryMatterIntakeKgPerDay);
  }
  return { ok: true, value: { ...mean, leastIntakeShare: Math.min(...intakes) / mean.dryMatterIntakeKgPerDay } };
}

/** The week in which the herd needs the most energy, and its need in that week on a diet. */
export function worstWeekOf(
  { weeks }: HerdSpan,
  options: JudgeOptions,
  diet: DietContext,
): { readonly week: SpanPart; readonly requirement: RequirementSet } | null {
  const needs = weeks.flatMap((week) => {
    const need = needOf(week.herd, options, { diet });
    return need.ok ? [{ week, requirement: need.value }] : [];
  });
  const energy = ({ requirement }: { requirement: RequirementSet }): number =>
    requirement.netEnergyMaintenanceTotalMcalPerDay + requirement.netEnergyGainMcalPerDay;
  return needs.reduce<(typeof needs)[number] | null>(
    (worst, one) => (worst === null || energy(one) > energy(worst) ? one : worst),
    null,
  );
}
