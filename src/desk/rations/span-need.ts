import type { Outcome } from '../../core/outcome/outcome.js';
import { meanOfHerd } from '../../core/requirements/mean-of-herd.js';
import type { DietContext, RequirementSet } from '../../core/requirements/requirement-set.js';
import type { HerdOnDay } from '../facts/herd-facts.js';
import { type JudgeOptions, needOf } from '../judge/ration-judge.js';
import type { HerdSpan, SpanPart } from './herd-span.read.js';

/** At most this many weeks of a span go into its mean, spread evenly over it. */
const MOST_SAMPLES = 12;

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
