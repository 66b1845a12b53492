import { Injectable } from '@nestjs/common';
import type { Outcome } from '../../core/outcome/outcome.js';
import { pregnancyOf } from '../../core/judge/pregnancy.js';
import { meanOfHerd } from '../../core/requirements/mean-of-herd.js';
import type { AnimalDescription, DietContext, RequirementSet } from '../../core/requirements/requirement-set.js';
import { addDays } from '../../core/time/calendar-day.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { type HerdFacts, HerdFactsRead, type HerdOnDay } from '../facts/herd-facts.js';
import { type JudgeOptions, needOf } from '../judge/ration-judge.js';

/**
 * `known`: the weather known on the first day, which covers a span of up to a week, and only that day of a longer one;
 * `usual`: the mean of the month, or what stands in for it (`weatherOfDay`); `none`: mild.
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

/**
 * The days of a span that a search holds a ration against one by one, besides its mean: the first, the last, the
 * lightest and the hottest. They are few, since every diet that is tried is asked of each of them; which others bind
 * is found from the answer (`bindingDays`).
 */
export function firstHeldDays({ everyDay }: Pick<HerdSpan, 'everyDay'>): HerdOnDay[] {
  const by = (of: (day: HerdOnDay) => number): HerdOnDay[] =>
    everyDay.length === 0 ? [] : [everyDay.reduce((best, day) => (of(day) > of(best) ? day : best))];
  const held = [
    ...everyDay.slice(0, 1),
    ...everyDay.slice(-1),
    ...by(({ animal }) => -animal.fullBodyWeightKg),
    ...by(({ weather }) => weather?.temperatureC ?? -Infinity),
  ];
  return [...new Map(held.map((day) => [day.on, day])).values()];
}

/**
 * Of the days that were not held, those on which least is eaten of a diet and most is drunk, where that is less or more
 * than on all that were: the search has to hold them too. None: the answer suits every day of the span.
 */
export function bindingDays(
  { everyDay, weeks }: Pick<HerdSpan, 'everyDay' | 'weeks'>,
  held: readonly HerdOnDay[],
  options: JudgeOptions,
  diet: DietContext,
): HerdOnDay[] {
  const asked = everyDay.flatMap((day) => {
    const need = needOf(day, options, { diet });
    return need.ok ? [{ day, eats: need.value.dryMatterIntakeKgPerDay, drinks: need.value.waterLPerDay }] : [];
  });
  const known = new Set([...held, ...sampledOf({ weeks }).map(({ herd }) => herd)].map(({ on }) => on));
  const binding = (of: (one: (typeof asked)[number]) => number): HerdOnDay[] => {
    const most = (among: typeof asked) => Math.max(...among.map(of));
    const inHeld = most(asked.filter(({ day }) => known.has(day.on)));
    const worst = asked.find((one) => of(one) === most(asked));
    return worst === undefined || of(worst) <= inHeld + DUST ? [] : [worst.day];
  };
  return [...binding(({ eats }) => -eats), ...binding(({ drinks }) => drinks)];
}

/** A day that eats less by no more than this, kg, eats the same. */
const DUST = 1e-6;

/** The weeks that go into the mean, each for the days that it stands for. */
function sampledOf({ weeks }: Pick<HerdSpan, 'weeks'>): { readonly days: number; readonly herd: HerdOnDay }[] {
  const step = Math.ceil(weeks.length / MOST_SAMPLES);
  return Array.from({ length: Math.ceil(weeks.length / step) }, (_none, index) => {
    const alike = weeks.slice(index * step, (index + 1) * step);
    const middle = alike[Math.floor(alike.length / 2)];
    return middle === undefined ? [] : [{ days: alike.reduce((sum, week) => sum + week.days, 0), herd: middle.herd }];
  }).flat();
}

/** What one animal needs on a diet, averaged over the span, with the least that is eaten on any day that is held. */
export function needOverSpan(span: Pick<HerdSpan, 'weeks'>, held: readonly HerdOnDay[], options: JudgeOptions) {
  const samples = sampledOf(span);
  const known = new Map<string, Outcome<RequirementSet>>();
  return (diet: DietContext): Outcome<RequirementSet> => {
    const key = JSON.stringify(diet);
    const found = known.get(key) ?? meanNeed(samples, held, options, diet);
    known.set(key, found);
    return found;
  };
}

function meanNeed(
  samples: ReturnType<typeof sampledOf>,
  held: readonly HerdOnDay[],
  options: JudgeOptions,
  diet: DietContext,
): Outcome<RequirementSet> {
  const sets: { share: number; set: RequirementSet }[] = [];
  const asked = Object.keys(diet).length === 0 ? {} : { diet };
  for (const { days, herd } of samples) {
    const need = needOf(herd, options, asked);
    if (!need.ok) return need;
    sets.push({ share: days, set: need.value });
  }
  const mean = meanOfHerd(sets);
  const ofDays = [...sets.map(({ set }) => set), ...held.flatMap((day) => valueOf(needOf(day, options, asked)))];
  const intakes = ofDays.map((set) => set.dryMatterIntakeKgPerDay);
  return {
    ok: true,
    value: {
      ...mean,
      leastIntakeShare: Math.min(...intakes) / mean.dryMatterIntakeKgPerDay,
      mostWaterLPerDay: Math.max(...ofDays.map((set) => set.waterLPerDay)),
    },
  };
}

const valueOf = <Value>(outcome: Outcome<Value>): Value[] => (outcome.ok ? [outcome.value] : []);

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
