import { DEFAULTS } from '../requirements/requirement-defaults.data.js';
import { type AnimalClass, MATURE_COWS } from '../requirements/requirement-set.js';
import { SHRUNK_SHARE_OF_FULL_WEIGHT } from '../requirements/maintenance.js';
import { addDays, type CalendarDay, daysBetween } from '../time/calendar-day.js';
import { factsOf, gainWantedOn, type HerdFlow, type HerdOnFile, type HerdWeighing } from './herd-on-file.js';
import { howWeighed, weighingsOfOthers } from './weight-fit.js';
import { GAIN_KG_PER_DAY_MAX, GAIN_SPAN_DAYS_MIN, WEIGHT_SURENESS } from './standing.data.js';

/** Mean full weight of a herd on a day, calf and fluids of the pregnant left out. */
export interface HerdWeight {
  readonly kg: number;
  /** The true weight is taken to be within ± this, by common practice. */
  readonly plusMinusKg: number;
  /** What the pregnant carry on that day, kg per head over the whole herd; a scale would show it too. */
  readonly conceptusKg: number;
  readonly restsOn: {
    readonly what: 'weigh-in' | 'stated-weight' | 'entry';
    readonly on: CalendarDay;
    readonly kg: number;
    /** Calf and fluids that were on the scale besides, kg per head; none where the weight was not weighed. */
    readonly conceptusKg: number;
    /** Days from that day to the day asked for; below zero where the weight was taken later. */
    readonly daysAgo: number;
    /** Full weight gained since then, kg per head. */
    readonly gainedKg: number;
    readonly gain: 'wanted' | 'measured' | 'target-weights' | 'not-known' | 'grown';
    /** Kilograms by which cattle that came or went since then changed the mean. */
    readonly flowKg: number;
    /** Growth was not carried beyond the mature weight. */
    readonly stoppedAtGrown: boolean;
  };
}

/** A weight as it was taken: full, calf and fluids left out. */
interface Taken {
  readonly what: HerdWeight['restsOn']['what'];
  readonly on: CalendarDay;
  readonly kg: number;
  /** Share by which those weighed may differ from the herd. */
  readonly sampleShare?: number | undefined;
}

/**
 * The newest weight up to the day, carried forward by the gain wanted, else by the gain between the last two
 * weighings, else of heifers by what brings them to their target weights, and adjusted for cattle that came or went
 * with a weight of their own. A weight holds until the next one. Gain is in shrunk weight, as the requirement
 * equations have it; full weight gains 1/0.96 of it.
 * @param conceptusOn kg a head that the pregnant carry on a day, over the whole herd
 * @param growthOn full weight that heifers of so many kg gain on a day toward their target weights; `null`: not known
 */
export function herdWeightOn(
  file: HerdOnFile,
  day: CalendarDay,
  cattleClass: AnimalClass,
  conceptusOn: (day: CalendarDay) => number,
  growthOn: GrowthOn | null,
): HerdWeight {
  const ofOthers = weighingsOfOthers(file, cattleClass);
  const weighings = file.weighings
    .filter((one) => !ofOthers.has(one))
    .sort((one, other) => (one.on < other.on ? -1 : 1))
    .map((one): Taken => {
      const { sampleShare } = howWeighed(file, one.on, one.head);
      return { what: 'weigh-in', on: one.on, kg: fullKg(one) - conceptusOn(one.on), sampleShare };
    });
  const { sampleShare = 0, ...taken } = newest(file, weighings, day);
  const grown = MATURE_COWS.includes(cattleClass);
  const cap = grownKg(file, cattleClass, taken.kg);
  const gain = gainOf(file, weighings, day, grown, growthOn);
  const days = Math.max(0, daysBetween(taken.on, day));
  const carried = carry(file, taken, day, gain, cap);
  const { weighedShare, statedShare } = WEIGHT_SURENESS;
  const share = taken.what === 'weigh-in' ? weighedShare : statedShare;
  return {
    kg: carried.kg,
    plusMinusKg: Math.hypot(taken.kg * share, taken.kg * sampleShare, days * gain.plusMinusPerDay),
    conceptusKg: conceptusOn(day),
    restsOn: {
      ...taken,
      conceptusKg: taken.what === 'weigh-in' ? conceptusOn(taken.on) : 0,
      daysAgo: daysBetween(taken.on, day),
      gainedKg: carried.gainedKg,
      gain: gain.from,
      flowKg: carried.flowKg,
      stoppedAtGrown: carried.stopped,
    },
  };
}

function fullKg({ meanKg, fill }: HerdWeighing): number {
  return fill === 'full' ? meanKg : meanKg / SHRUNK_SHARE_OF_FULL_WEIGHT;
}

/**
 * The newest weight up to the day; before the first one, the first one, carried back. What the herd was entered with is
 * one of them, of its own day.
 */
function newest(file: HerdOnFile, weighings: readonly Taken[], day: CalendarDay): Taken {
  const stated = factsOf(file.facts, 'weight').map(({ on, kg }): Taken => ({ what: 'stated-weight', on, kg }));
  const entry: Taken = { what: 'entry', ...file.entry };
  // On the same day the scale wins, and any other weight over the entry's.
  return [...stated, ...weighings].reduce((best, one) => {
    if (one.on > day) return best.on > day && one.on <= best.on ? one : best;
    return best.on > day || one.on >= best.on ? one : best;
  }, entry);
}

/** Beyond this full weight cattle do not grow; for cattle without a known one, 533 kg shrunk. */
function grownKg(file: HerdOnFile, cattleClass: AnimalClass, kg: number): number {
  const known = file.matureKg ?? DEFAULTS.finalShrunkBodyWeightKg / SHRUNK_SHARE_OF_FULL_WEIGHT;
  return cattleClass === 'finishing' ? Infinity : Math.max(known, kg);
}

export type GrowthOn = (day: CalendarDay, kg: number) => number | null;

interface Gain {
  readonly from: HerdWeight['restsOn']['gain'];
  /** Full weight gained on a day by cattle of so many kg, kg. */
  readonly perDay: (day: CalendarDay, kg: number) => number;
  /** The gain moves with the weight, so it is carried in steps. */
  readonly inSteps: boolean;
  readonly plusMinusPerDay: number;
}

function gainOf(
  file: HerdOnFile,
  weighings: readonly Taken[],
  day: CalendarDay,
  grown: boolean,
  growthOn: GrowthOn | null,
): Gain {
  const { knownGainKgPerDay, unknownGainKgPerDay, grownKgPerDay } = WEIGHT_SURENESS;
  const wantedOn = (on: CalendarDay): number | null => gainWantedOn(file, on)?.kgPerDay ?? null;
  const measured = grown ? null : measuredGain(weighings, day);
  const perDay = (on: CalendarDay, kg: number): number => {
    const wanted = wantedOn(on);
    if (wanted !== null) return wanted / SHRUNK_SHARE_OF_FULL_WEIGHT;
    return measured ?? growthOn?.(on, kg) ?? 0;
  };
  const by = { perDay, inSteps: measured === null && growthOn !== null };
  if (wantedOn(day) !== null) return { ...by, from: 'wanted', plusMinusPerDay: knownGainKgPerDay };
  if (grown) return { ...by, from: 'grown', plusMinusPerDay: grownKgPerDay };
  if (measured !== null) return { ...by, from: 'measured', plusMinusPerDay: knownGainKgPerDay };
  const from = (growthOn?.(day, 0) ?? null) === null ? 'not-known' : 'target-weights';
  return { ...by, from, plusMinusPerDay: unknownGainKgPerDay };
}

/** Full weight gained a day between the last weighing and the nearest one far enough before it. */
function measuredGain(weighings: readonly Taken[], day: CalendarDay): number | null {
  const last = weighings.findLast((one) => one.on <= day);
  if (last === undefined) return null;
  const before = weighings.findLast((one) => daysBetween(one.on, last.on) >= GAIN_SPAN_DAYS_MIN);
  if (before === undefined) return null;
  const gain = (last.kg - before.kg) / daysBetween(before.on, last.on);
  return Math.abs(gain) > GAIN_KG_PER_DAY_MAX ? null : gain;
}

/** Growth that moves with the weight is carried this many days at a time. */
const STEP_DAYS = 7;

/** From the weight that was taken: growth up to each change of the gain wanted or of the head, then that change. */
function carry(
  file: HerdOnFile,
  taken: Taken,
  day: CalendarDay,
  { perDay, inSteps }: Gain,
  cap: number,
): { kg: number; gainedKg: number; flowKg: number; stopped: boolean } {
  let { kg } = taken;
  let gainedKg = 0;
  let flowKg = 0;
  let stopped = false;
  let head = file.flows.filter((flow) => flow.on <= taken.on).reduce((sum, flow) => sum + flow.head, 0);
  const changes = [...factsOf(file.facts, 'target-gain'), ...file.flows].map((one) => one.on);
  const steps = inSteps ? Math.max(0, Math.ceil(daysBetween(taken.on, day) / STEP_DAYS) - 1) : 0;
  const nodes = Array.from({ length: steps }, (_, index) => addDays(taken.on, (index + 1) * STEP_DAYS));
  const days = [...new Set([...changes.filter((on) => on > taken.on && on < day), ...nodes, day])].sort();
  let from = taken.on;
  for (const until of days.filter((on) => on > taken.on)) {
    const gained = perDay(from, kg) * daysBetween(from, until);
    const grown = Math.min(kg + gained, Math.max(cap, kg));
    if (grown < kg + gained) stopped = true;
    gainedKg += grown - kg;
    kg = grown;
    for (const flow of file.flows.filter((one) => one.on === until)) {
      const moved = meanAfter(kg, head, flow);
      flowKg += moved - kg;
      kg = moved;
      head += flow.head;
    }
    from = until;
  }
  return { kg, gainedKg, flowKg, stopped };
}

/** Mean after cattle of another weight came or went. Where that makes no sense, the mean stays as it was. */
function meanAfter(kg: number, head: number, flow: HerdFlow): number {
  if (flow.meanKg === null || head + flow.head <= 0 || head < 0) return kg;
  const mean = (kg * head + flow.meanKg * flow.head) / (head + flow.head);
  return mean > kg / 2 && mean < kg * 2 ? mean : kg;
}
