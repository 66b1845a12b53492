import { type BaleDays, planBaleDays } from '../../core/laying/bale-days.js';
import { type BaleRounding, planWholeBales } from '../../core/laying/whole-bales.js';
import { CARRYING } from '../../core/laying/carrying.data.js';
import { addDays, daysBetween } from '../../core/time/calendar-day.js';
import { decimalFromFloat } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import { balesOf, type LaidRation, massOfKilograms, type RationRow } from '../facts/ration-content.js';
import { capsOf } from './day-caps.js';

type ByLot = ReadonlyMap<string, Mass>;

/** A confirmed sheet that was not reversed, with what it drew from each lot. */
export interface ConfirmedFeeding {
  confirmationId: string;
  feedingId: string;
  day: string;
  recordedAt: string;
  rounding: BaleRounding;
  /** What the sheet asked for from each lot. */
  need: ByLot;
  fed: ByLot;
  /** `null`: the lot is not counted in bales. */
  opened: ReadonlyMap<string, number | null>;
  /** As recorded when it was confirmed. */
  carriedOut: ByLot;
  /** The plan behind the sheet, as of that morning. */
  plan: RunningPlan | null;
}

/** A feeding that was not reversed. */
export interface FeedingOfDay {
  feedingId: string;
  day: string;
  at: string | null;
  by: string | null;
  headFed: number;
  fed: ByLot;
  recordedAt: string;
}

/** What was fed to a herd and what was meant to be, as far back as a sheet looks. */
export interface HerdDays {
  confirmed: readonly ConfirmedFeeding[];
  feedings: readonly FeedingOfDay[];
  /** Reversed feedings: their days, when each was recorded, and when its reversal was. */
  reversed: readonly { day: string; recordedAt: string; reversedAt: string }[];
  /** The ration in use on a day, laid out for one head; undefined if it cannot be laid out. */
  rationOn: (day: string) => { row: RationRow; laid: LaidRation } | undefined;
  headOn: (day: string) => number;
  /** The first day to look at if nothing was confirmed. */
  firstDay: string;
}

/** A plan in whole bales that runs over several days. */
export interface RunningPlan {
  made: BaleDays;
  /** The baled lots, in the order of the plan. */
  lotIds: readonly string[];
  rationId: string;
  head: number;
  /** Which of its days comes next. */
  next: number;
}

/** What a day starts with. */
export interface Morning {
  rounding: BaleRounding | null;
  /** Hay in opened bales (`open-enough`), or ahead of (+), behind (-) the need in whole bales (`nearest-whole`). */
  carried: ByLot;
  plan: RunningPlan | null;
  /** The confirmed feeding that counting starts from. */
  since: string | null;
  countedAsPlanned: readonly string[];
  countedAsFed: readonly string[];
}

/** A plan is followed for this many days before the next is made. */
const DAYS_OF_A_PLAN = 14;
/** Number of days listed, not counting days of the plan that are over. */
const DAYS_SHOWN = 10;

/**
 * What is carried into a day: starting from the last confirmed sheet, each day since counts by what was fed, else by
 * what was planned. A reversed feeding counts as if it had never happened; if a reversal or a late entry came after a
 * confirmation, the days are counted again from before it.
 */
export function carriedInto(day: string, days: HerdDays): Morning {
  const start = startOver(day, days);
  const anchor = start === null ? anchorBefore(day, days) : undefined;
  let morning: Morning = {
    rounding: anchor?.rounding ?? null,
    carried: anchor === undefined ? new Map() : endOfAnchor(anchor, days),
    plan: anchor === undefined ? null : planGoingOn(anchor.plan, anchor.carriedOut),
    since: anchor?.day ?? null,
    countedAsPlanned: [],
    countedAsFed: [],
  };
  for (
    let one = anchor === undefined ? (start ?? days.firstDay) : addDays(anchor.day, 1);
    one < day;
    one = addDays(one, 1)
  )
    morning = afterDay(one, morning, days);
  return start === null ? asStated(morning, anchorBefore(day, { ...days, reversed: [] })) : morning;
}

/** As told: what was reversed since a confirmation counts again from before it, and leaves no trace in the words. */
function asStated(morning: Morning, confirmed: ConfirmedFeeding | undefined): Morning {
  if (confirmed === undefined) return morning;
  const since = (days: readonly string[]): string[] => days.filter((one) => one > confirmed.day);
  return {
    ...morning,
    since: confirmed.day,
    countedAsPlanned: since(morning.countedAsPlanned),
    countedAsFed: since(morning.countedAsFed),
  };
}

/**
 * Where the books show no feeding for weeks, the day from which counting starts over, a fixed number of days at a time;
 * `null` if the herd was fed since.
 */
function startOver(day: string, { confirmed, feedings, firstDay }: HerdDays): string | null {
  const fed = [...confirmed, ...feedings].map((one) => one.day).filter((one) => one < day);
  const last = fed.sort().at(-1) ?? firstDay;
  const most = CARRYING.startsAnewAfterDays.value;
  const times = Math.floor(daysBetween(last, day) / (most + 1));
  return times < 1 ? null : addDays(last, times * (most + 1));
}

/** The plan for the day, if its ration is fed in whole bales: the running one, or a new one. */
export function planFor(day: string, morning: Morning, days: HerdDays): RunningPlan | null {
  const ration = days.rationOn(day);
  const head = days.headOn(day);
  if (ration?.row.bale_rounding !== 'nearest-whole' || head < 1) return null;
  const { plan } = morning;
  if (plan !== null && plan.rationId === ration.row.id && plan.head === head && plan.next < DAYS_OF_A_PLAN) {
    // A newer test may change the weight of the same dry matter.
    const needKg = laidOnly(ration.laid).asFedKgPerHead * head;
    if (Math.abs(plan.made.needKg - needKg) < NOT_WORTH_A_NEW_PLAN_KG) return plan;
  }
  const carried = morning.rounding === 'nearest-whole' ? morning.carried : new Map<string, Mass>();
  return newPlan(ration, head, carried);
}

/** The plan goes on if the day was fed as planned; otherwise the next one is made from what was fed. */
function planGoingOn(plan: RunningPlan | null, carriedOut: ByLot): RunningPlan | null {
  if (plan === null) return null;
  const next = { ...plan, next: plan.next + 1 };
  const asPlanned = [...carriedByPlan(next)].every(
    ([lotId, mass]) =>
      (carriedOut.get(lotId) ?? Mass.zero).minus(mass).kilograms.abs().toNumber() < NOT_WORTH_A_NEW_PLAN_KG,
  );
  return asPlanned ? next : null;
}

/** Rounding alone does not call for a new plan. */
const NOT_WORTH_A_NEW_PLAN_KG = 0.1;

/** How far the lots are ahead or behind at the start of the plan's next day. */
export function carriedByPlan({ made, lotIds, next }: RunningPlan): ByLot {
  const kilograms = next === 0 ? made.carriedInKg : (made.days[next - 1]?.carriedOutKg ?? []);
  return new Map(lotIds.map((lotId, index) => [lotId, massOfKilograms(kilograms[index] ?? 0)]));
}

/** A ration without what is fed free choice: that is kept in front of the cattle, and no day lays it. */
function laidOnly(ration: LaidRation): Pick<LaidRation, 'parts' | 'asFedKgPerHead' | 'dryMatterKgPerHead'> {
  const parts = ration.parts.filter((part) => !part.freeChoice);
  return {
    parts,
    asFedKgPerHead: parts.reduce((sum, part) => sum + part.asFedKgPerHead, 0),
    dryMatterKgPerHead: parts.reduce(
      (sum, part) => sum + (part.asFedKgPerHead * part.facts.lot.dryMatterPercent.value) / 100,
      0,
    ),
  };
}

function newPlan(
  { row, laid: ration }: { row: RationRow; laid: LaidRation },
  head: number,
  carried: ByLot,
): RunningPlan | null {
  const laid = laidOnly(ration);
  const lotIds = [...new Set(laid.parts.map((part) => part.lotId))];
  const needKg = (lotId: string): number =>
    laid.parts.filter((part) => part.lotId === lotId).reduce((sum, part) => sum + part.asFedKgPerHead * head, 0);
  const facts = new Map(laid.parts.map((part) => [part.lotId, part.facts]));
  const bales = new Map(laid.parts.map((part) => [part.lotId, balesOf(part)]));
  const baleKg = (lotId: string): number => bales.get(lotId)?.kilograms.toNumber() ?? 0;
  const dryMatter = (lotId: string): number => (facts.get(lotId)?.lot.dryMatterPercent.value ?? 0) / 100;
  const coarse = (lotId: string): boolean => laid.parts.every((part) => part.lotId !== lotId || part.role === 'coarse');
  const baled = lotIds.filter((lotId) => baleKg(lotId) > 0 && needKg(lotId) > 0);
  const notBaled = lotIds.filter((lotId) => baleKg(lotId) === 0 && needKg(lotId) > 0);
  const isForage = (lotId: string): boolean => facts.get(lotId)?.lot.isForage === true;
  const loose = notBaled.filter(isForage);
  const along = notBaled.filter((lotId) => !isForage(lotId));
  const sumOf = (of: readonly string[], kg: (lotId: string) => number) => of.reduce((sum, one) => sum + kg(one), 0);
  const dryKg = (lotId: string): number => needKg(lotId) * dryMatter(lotId);
  if (baled.length === 0) return null;
  return {
    made: planBaleDays({
      lots: baled.map((lotId) => ({
        needKgPerDay: needKg(lotId),
        baleKg: baleKg(lotId),
        carriedInKg: carried.get(lotId)?.kilograms.toNumber() ?? 0,
        coarse: coarse(lotId),
        dryMatterShare: dryMatter(lotId),
        isConcentrate: !isForage(lotId),
      })),
      looseKgPerDay: sumOf(loose, needKg),
      looseDryMatterKgPerDay: sumOf(loose, dryKg),
      alongKgPerDay: sumOf(along, needKg),
      grainAlongKgPerDay: sumOf(
        along.filter((lotId) => facts.get(lotId)?.lot.isStarchyGrain === true),
        needKg,
      ),
      alongDryMatterKgPerDay: sumOf(along, dryKg),
      looseIsMoreThanCoarse: loose.some((lotId) => !coarse(lotId)),
      caps: capsOf({ laid, head, baled, loose, along }),
      days: DAYS_OF_A_PLAN + DAYS_SHOWN,
    }),
    lotIds: baled,
    rationId: row.id,
    head,
    next: 0,
  };
}

/**
 * The latest confirmed feeding whose past did not change after it was confirmed (no later entry for the days before it,
 * no reversal of what it counted): what it carried out still holds.
 */
function anchorBefore(day: string, { confirmed, feedings, reversed }: HerdDays): ConfirmedFeeding | undefined {
  const firstOfDay = confirmed.filter(
    (one, index) => one.day < day && confirmed.findIndex((other) => other.day === one.day) === index,
  );
  return firstOfDay
    .toSorted((a, b) => (a.day < b.day ? 1 : -1))
    .find(
      (one) =>
        !reversed.some(
          (back) => back.day <= one.day && back.recordedAt <= one.recordedAt && back.reversedAt >= one.recordedAt,
        ) && !feedings.some((fed) => fed.day < one.day && fed.recordedAt > one.recordedAt),
    );
}

/** What a confirmed day leaves, including bales opened for other feedings of that day. */
function endOfAnchor(anchor: ConfirmedFeeding, { feedings, rationOn, headOn }: HerdDays): ByLot {
  const ration = rationOn(anchor.day);
  if (anchor.rounding === 'nearest-whole' || ration === undefined) return anchor.carriedOut;
  const needs = needOf(ration.laid, headOn(anchor.day));
  return openedFor(
    anchor.carriedOut,
    // Ids follow the order of entry: what was entered before the confirmation is already in its result.
    feedings.filter((one) => one.day === anchor.day && one.feedingId > anchor.feedingId),
    (lotId) => needs.get(lotId)?.baleWeight ?? null,
  );
}

function afterDay(day: string, morning: Morning, days: HerdDays): Morning {
  const ration = days.rationOn(day);
  const base = days.confirmed.find((one) => one.day === day);
  const fed = days.feedings.filter((one) => one.day === day);
  if (ration === undefined && base === undefined) return morning;
  const rounding = base?.rounding ?? ration?.row.bale_rounding ?? 'open-enough';
  const carried = morning.rounding === rounding ? morning.carried : new Map<string, Mass>();
  const start = asCounted(day, { ...morning, rounding, carried }, days);
  if (base !== undefined || fed.length > 0) {
    const end = endOfFedDay(start, { base, fed, ration, head: days.headOn(day) });
    return {
      ...start,
      carried: end,
      plan: planGoingOn(start.plan, end),
      countedAsFed: base === undefined ? [...morning.countedAsFed, day] : morning.countedAsFed,
    };
  }
  if (days.headOn(day) < 1) return start;
  return { ...endOfPlannedDay(day, start, days), countedAsPlanned: [...morning.countedAsPlanned, day] };
}

/** How far whole bales are ahead or behind, as the day's plan counts it. */
function asCounted(day: string, morning: Morning, days: HerdDays): Morning {
  const plan = planFor(day, morning, days);
  return plan === null ? morning : { ...morning, plan, carried: carriedByPlan(plan) };
}

function endOfPlannedDay(day: string, morning: Morning, days: HerdDays): Morning {
  const ration = days.rationOn(day);
  if (ration === undefined) return morning;
  if (morning.rounding === 'nearest-whole') {
    const { plan } = morning;
    if (plan === null) return morning;
    const next = { ...plan, next: plan.next + 1 };
    return { ...morning, plan: next, carried: carriedByPlan(next) };
  }
  const need = needOf(ration.laid, days.headOn(day));
  const carried = new Map<string, Mass>();
  for (const [lotId, of] of need) {
    const { baleWeight } = of;
    const carriedIn = notBelowZero(morning.carried.get(lotId) ?? Mass.zero);
    if (baleWeight !== null)
      carried.set(lotId, planWholeBales({ need: of.need, baleWeight, carriedIn, rounding: 'open-enough' }).carriedOut);
  }
  return { ...morning, carried };
}

/** What a day leaves if the herd was fed, from a sheet or without one. */
export function endOfFedDay(
  { rounding, carried }: Morning,
  {
    base,
    fed,
    ration,
    head,
  }: {
    base: ConfirmedFeeding | undefined;
    fed: readonly FeedingOfDay[];
    ration: { laid: LaidRation } | undefined;
    head: number;
  },
): ByLot {
  const needs = ration === undefined ? new Map<string, NeedOfLot>() : needOf(ration.laid, head);
  const baleWeight = (lotId: string): Mass | null => needs.get(lotId)?.baleWeight ?? null;
  if (rounding === 'nearest-whole') {
    // A second feeding beside the sheet is on top of the ration: later days are not cut for it.
    const eaten = base?.fed ?? sumByLot(fed.map((one) => one.fed));
    const need = base?.need ?? new Map([...needs].map(([lotId, of]) => [lotId, of.need]));
    return aheadOrBehind(carried, need, eaten);
  }
  if (base === undefined) return openedFor(carried, fed, baleWeight);
  const left = new Map(carried);
  for (const [lotId, bales] of base.opened) {
    const bale = baleWeight(lotId);
    if (bales === null || bale === null) continue;
    const over = (left.get(lotId) ?? Mass.zero).plus(bale.times(bales)).minus(base.fed.get(lotId) ?? Mass.zero);
    left.set(lotId, notBelowZero(over));
  }
  return openedFor(
    left,
    fed.filter((one) => one.feedingId !== base.feedingId),
    baleWeight,
  );
}

/**
 * How far each lot is ahead of or behind its need after a feeding. Hay laid from another lot instead counts for the
 * lots that were laid short.
 */
export function aheadOrBehind(carried: ByLot, need: ByLot, fed: ByLot): ByLot {
  const instead = Mass.sum([...fed].filter(([lotId]) => !need.has(lotId)).map(([, mass]) => mass));
  const shortBy = new Map(
    [...need].map(([lotId, mass]) => [lotId, notBelowZero(mass.minus(fed.get(lotId) ?? Mass.zero))] as const),
  );
  const short = Mass.sum(shortBy.values());
  const replaced = short.isZero() ? 0 : Math.min(1, instead.ratioTo(short).toNumber());
  return new Map(
    [...need].map(([lotId, mass]) => [
      lotId,
      (carried.get(lotId) ?? Mass.zero)
        .plus(fed.get(lotId) ?? Mass.zero)
        .plus((shortBy.get(lotId) ?? Mass.zero).times(decimalFromFloat(replaced, 9)))
        .minus(mass),
    ]),
  );
}

/** Bales opened as needed: what is left in them after feedings that took a given amount. */
function openedFor(
  carried: ByLot,
  feedings: readonly { fed: ByLot }[],
  baleWeight: (lotId: string) => Mass | null,
): ByLot {
  const left = new Map(carried);
  for (const [lotId, need] of feedings.flatMap((one) => [...one.fed])) {
    const bale = baleWeight(lotId);
    if (bale === null) continue;
    const carriedIn = notBelowZero(left.get(lotId) ?? Mass.zero);
    left.set(lotId, planWholeBales({ need, baleWeight: bale, carriedIn, rounding: 'open-enough' }).carriedOut);
  }
  return left;
}

interface NeedOfLot {
  need: Mass;
  baleWeight: Mass | null;
}

function needOf({ parts }: LaidRation, head: number): Map<string, NeedOfLot> {
  const needs = new Map<string, NeedOfLot>();
  for (const part of parts)
    needs.set(part.lotId, {
      need: (needs.get(part.lotId)?.need ?? Mass.zero).plus(massOfKilograms(part.asFedKgPerHead).times(head)),
      baleWeight: balesOf(part),
    });
  return needs;
}

function sumByLot(each: readonly ByLot[]): Map<string, Mass> {
  const sum = new Map<string, Mass>();
  for (const [lotId, mass] of each.flatMap((one) => [...one])) sum.set(lotId, (sum.get(lotId) ?? Mass.zero).plus(mass));
  return sum;
}

function notBelowZero(mass: Mass): Mass {
  return mass.isNegative() ? Mass.zero : mass;
}
