import { type AnimalClass, MATURE_COWS } from '../requirements/requirement-set.js';
import { type CalendarDay, daysBetween } from '../time/calendar-day.js';
import { SHRUNK_SHARE_OF_FULL_WEIGHT } from '../requirements/maintenance.js';
import { factsOf, type HerdOnFile, type HerdWeighing } from './herd-on-file.js';
import { WEIGHT_BOUNDS, WEIGHT_CHANGE } from '../plausibility/entry-bounds.data.js';

/** A mean full weight of a herd, kg: all or most of it over a scale, fewer than half of it, or by eye. */
export interface KnownWeight {
  readonly on: CalendarDay;
  readonly kg: number;
  readonly how: 'weighed' | 'sampled' | 'stated';
  /** Share by which the mean of those weighed may differ from the herd's; none where all were weighed. */
  readonly sampleShare?: number;
}

/** Why a weight is none of these cattle, or unlikely to be: what it may be, kg, and what it is held against. */
export interface WeightDoubt {
  readonly code: 'weight-of-class' | 'weight-change';
  readonly impossible: boolean;
  /** No cattle change so much between the two days, whichever of the two weights is the wrong one. */
  readonly beyond: boolean;
  readonly allowedKg: readonly [number, number];
  /** The weight before or after it; null where the class alone speaks against it. */
  readonly beside: KnownWeight | null;
}

/**
 * What speaks against a weight: the span of its class, and the nearest weight before and after it. Against a weight
 * that was stated by eye nothing is impossible, since that one may be the wrong one.
 */
export function weightDoubts(
  cattleClass: AnimalClass,
  weight: KnownWeight,
  others: readonly KnownWeight[],
): WeightDoubt[] {
  const before = others.filter((one) => one.on < weight.on).reduce<KnownWeight | undefined>(later, undefined);
  const after = others.filter((one) => one.on > weight.on).reduce<KnownWeight | undefined>(earlier, undefined);
  return [
    ...doubtOfClass(cattleClass, weight),
    ...[before, after].flatMap((beside) => (beside === undefined ? [] : doubtOfChange(cattleClass, weight, beside))),
  ];
}

/** What is told of an unlikely weight, wherever it is told: where it was entered, and in the state of the herd. */
export function unlikelyWeightWords(
  cattleClass: AnimalClass,
  { whose, on }: { readonly whose: string; readonly on: CalendarDay },
  { beside }: Pick<WeightDoubt, 'beside'>,
): string {
  const against =
    beside === null ? `for the class ${cattleClass.replaceAll('-', ' ')}` : `beside the weight of ${beside.on}`;
  return (
    `The weight of ${whose}${on} is unlikely ${against}. Check its unit, and whether a total was entered as a mean; ` +
    'if it is wrong, reverse it.'
  );
}

const later = (best: KnownWeight | undefined, one: KnownWeight): KnownWeight =>
  best === undefined || one.on >= best.on ? one : best;
const earlier = (best: KnownWeight | undefined, one: KnownWeight): KnownWeight =>
  best === undefined || one.on < best.on ? one : best;

const within = (kg: number, [least, most]: readonly [number, number]): boolean => kg >= least && kg <= most;

function doubtOfClass(cattleClass: AnimalClass, { kg }: Pick<KnownWeight, 'kg'>): WeightDoubt[] {
  const { possible, usual } = WEIGHT_BOUNDS[cattleClass];
  if (within(kg, usual)) return [];
  const impossible = !within(kg, possible);
  const allowedKg = impossible ? possible : usual;
  return [{ code: 'weight-of-class', impossible, beyond: impossible, allowedKg, beside: null }];
}

function doubtOfChange(cattleClass: AnimalClass, weight: KnownWeight, beside: KnownWeight): WeightDoubt[] {
  const days = Math.abs(daysBetween(weight.on, beside.on));
  const calving =
    MATURE_COWS.includes(cattleClass) || cattleClass.endsWith('heifer') ? WEIGHT_CHANGE.calvingKg.value : 0;
  const stated = weight.how === 'stated' || beside.how === 'stated' ? WEIGHT_CHANGE.statedShare.value : 0;
  const span = (share: number, perDay: number): readonly [number, number] => {
    const change = (share + (weight.sampleShare ?? 0) + (beside.sampleShare ?? 0)) * beside.kg + perDay * days;
    // The lighter of the two days may be the one after calving.
    const [lost, left] = weight.on > beside.on ? [calving, 0] : [0, calving];
    return [Math.max(0, beside.kg - change - lost), beside.kg + change + left];
  };
  const { fillShare, mostKgPerDay, usualShare, usualKgPerDay } = WEIGHT_CHANGE;
  const possible = span(Math.max(fillShare.value, stated), mostKgPerDay.value);
  const usual = span(Math.max(usualShare.value, stated / 2), usualKgPerDay.value);
  if (within(weight.kg, usual)) return [];
  const beyond = !within(weight.kg, possible);
  // A few animals may have been picked for what they weigh.
  const impossible = beyond && beside.how === 'weighed' && weight.how !== 'sampled';
  return [{ code: 'weight-change', impossible, beyond, allowedKg: impossible ? possible : usual, beside }];
}

/** The other weights of a herd that one of a day can be held against: those with the same cattle in between. */
export function weightsBeside(file: HerdOnFile, day: CalendarDay): KnownWeight[] {
  const same = (on: CalendarDay): boolean => {
    const [from, until] = on < day ? [on, day] : [day, on];
    return !file.flows.some((flow) => flow.head > 0 && flow.on > from && flow.on <= until);
  };
  return [
    ...file.weighings.map((one) => weighedOf(file, one)),
    ...factsOf(file.facts, 'weight').map(({ on, kg }): KnownWeight => ({ on, kg, how: 'stated' })),
    { on: file.entry.on, kg: file.entry.kg, how: 'stated' as const },
  ].filter((one) => same(one.on));
}

function weighedOf(file: HerdOnFile, { on, meanKg, fill, head }: HerdWeighing): KnownWeight {
  const kg = fill === 'full' ? meanKg : meanKg / SHRUNK_SHARE_OF_FULL_WEIGHT;
  return { on, kg, ...howWeighed(file, on, head) };
}

/**
 * How much the mean of so many head says of the herd. Fewer than half of it are a sample (common practice, no
 * source), whose mean is off by two standard errors at most: W. G. Cochran, Sampling Techniques (1977), eq. 2.20 (from
 * memory), without return.
 * @param head `undefined`: all of them
 */
export function howWeighed(
  file: HerdOnFile,
  day: CalendarDay,
  head: number | undefined,
): Pick<KnownWeight, 'how' | 'sampleShare'> {
  const there = headOn(file, day);
  if (head === undefined || head >= there) return { how: 'weighed' };
  const sampleShare = 2 * WEIGHT_CHANGE.animalsDiffer.value * Math.sqrt((1 - head / there) / head);
  return { how: 2 * head >= there ? 'weighed' : 'sampled', sampleShare };
}

function headOn(file: HerdOnFile, day: CalendarDay): number {
  return file.flows.filter((flow) => flow.on <= day).reduce((sum, flow) => sum + flow.head, 0);
}

/**
 * Weighings of a few head that differ more from an earlier weighing than cattle can change and a sample can be off:
 * they are the weight of these animals, and not taken for the herd's.
 */
export function weighingsOfOthers(file: HerdOnFile, cattleClass: AnimalClass): ReadonlySet<HerdWeighing> {
  const others = new Set<HerdWeighing>();
  const inOrder = [...file.weighings].sort((one, other) => (one.on < other.on ? -1 : 1));
  for (const one of inOrder) {
    const weight = weighedOf(file, one);
    if (weight.how !== 'sampled') continue;
    const kept = { ...file, facts: [], weighings: inOrder.filter((each) => each.on < one.on && !others.has(each)) };
    const beside = weightsBeside(kept, one.on).filter((each) => each.how !== 'stated');
    if (weightDoubts(cattleClass, weight, beside).some((doubt) => doubt.code === 'weight-change' && doubt.beyond))
      others.add(one);
  }
  return others;
}
