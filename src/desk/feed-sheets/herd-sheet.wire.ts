import type { AnswerOf } from '../../platform/http/endpoint.js';
import { CAUTIONS } from '../../core/cautions/cautions.data.js';
import { addDays } from '../../core/time/calendar-day.js';
import type { FeedSheet } from '../../core/laying/feed-sheet.js';
import { Mass, type MassUnit } from '../../core/units/mass.js';
import { fromBaseUnit } from '../../core/units/unit.js';
import { dayIn } from '../../platform/clock.js';
import { type UnitSystem, unitFor, formatMass, formatTypedPerHead } from '../../platform/wire/quantity.schema.js';
import { cautionAnswer } from '../../records/kit/caution.schema.js';
import { type LaidPart, massOfKilograms } from '../facts/ration-content.js';
import type { Morning, RunningPlan } from './day-by-day.js';
import type * as api from './feed-sheet.schema.js';
import type { FedToday, HerdSheet } from './feed-sheet.service.js';
import { dangersOfDays, type RationToday } from './sheet-of-herd.js';

type HerdAnswer = AnswerOf<typeof api.feedSheetFor>['herds'][number];

export function waterAnswer(liters: number, units: UnitSystem): { value: number; unit: 'gal' | 'L' } {
  return units === 'us'
    ? { value: Math.round(fromBaseUnit(liters, 'gal')), unit: 'gal' }
    : { value: Math.round(liters), unit: 'L' };
}

/** Nobody forks tenths: loads are given in whole pounds or kilograms. */
function wholeUnits(mass: Mass, units: UnitSystem): { value: string; unit: ReturnType<typeof unitFor> } {
  const unit = unitFor(units, 'small');
  return { value: mass.in(unit).toDecimalPlaces(0).toFixed(), unit };
}

/** At or above this many pounds or kilograms nobody weighs tenths. */
const WHOLE_FROM = 10;

/**
 * What is laid, as it is weighed out: hay in whole pounds or kilograms, less than ten with one decimal, and mineral for
 * a few head in ounces or grams. What is to be laid never rounds to nothing.
 */
export function laidOut(mass: Mass, units: UnitSystem): { value: string; unit: MassUnit } {
  const unit = unitFor(units, 'small');
  const value = mass.in(unit);
  if (value.isZero() || value.abs().gte(WHOLE_FROM)) return wholeUnits(mass, units);
  if (value.abs().gte(1)) return { value: value.toDecimalPlaces(1).toFixed(), unit };
  const fine = units === 'us' ? 'oz' : 'g';
  return { value: mass.in(fine).toSignificantDigits(2).toFixed(), unit: fine };
}

/** Day and time by the clock at the ranch. */
export function clockIn(timeZone: string, moment: Date): string {
  const clock = new Intl.DateTimeFormat('en-GB', { timeZone, hour: '2-digit', minute: '2-digit', hourCycle: 'h23' });
  return `${dayIn(timeZone, moment)} ${clock.format(moment)}`;
}

interface AnswerFor {
  lying: ReadonlyMap<string, string>;
  units: UnitSystem;
  on: string;
  timeZone: string;
}

/** A herd's sheet in the units of the answer. */
export function herdSheetAnswer(one: HerdSheet, { lying, units, on, timeZone }: AnswerFor): HerdAnswer {
  const { facts, today, sheet, morning, nothingBecause, notJudgedBecause, confirmed, fedToday } = one;
  const base = {
    herdId: facts.herd.id,
    herd: facts.herd.name,
    head: facts.head,
    nothingBecause,
    notJudgedBecause,
    fedThatDay: fedToday.map((each) => fedTodayAnswer(each, timeZone, units)),
    confirmation: confirmed === undefined ? null : { id: confirmed.id, feedingId: confirmed.feeding_id },
  };
  if (today === undefined || sheet === undefined || morning === undefined) return { ...base, ...NOTHING_TO_LAY };
  const small = (mass: Mass): ReturnType<typeof formatMass> => formatMass(mass, units, 'small');
  return {
    ...base,
    ration: { id: today.row.id, name: today.row.name },
    layers: sheet.layers.map((layer) => layerAnswer(layer, today, lying, units)),
    freeChoice: today.laid.parts.flatMap((part) => freeChoiceAnswer(part, facts.head, lying, units)),
    total: laidOut(sheet.totalFed, units),
    perHead: small(sheet.totalFed.dividedBy(sheet.head)),
    dryMatterPerHead: small(massOfKilograms(sheet.dryMatterKgPerHead)),
    leftovers: lotsThatAre(sheet, (mass) => mass, units).map(({ mass, ...of }) => ({ ...of, carriedOut: mass })),
    behind: lotsThatAre(sheet, (mass) => mass.negated(), units).map(({ mass, ...of }) => ({
      ...of,
      behindBy: mass,
    })),
    carried: carriedAnswer(morning, today, units),
    plan: today.plan === null ? null : planAnswer(today.plan, one.facts, today, on, units),
    shortLots: sheet.shortLots.map((each) => ({
      hayLotId: each.lotId,
      hayLot: each.lotName,
      shortBy: laidOut(each.shortBy, units),
    })),
    likelyEatenFirst: [...sheet.likelyEatenFirst],
    water: sheet.waterNeedLPerDay === null ? null : waterAnswer(sheet.waterNeedLPerDay, units),
    cautions: sheet.cautions.map((each) => cautionAnswer(each, units)),
  };
}

/** Lots that the day leaves ahead or behind, given as amounts above zero. */
function lotsThatAre(sheet: FeedSheet, side: (carriedOut: Mass) => Mass, units: UnitSystem) {
  return sheet.leftovers
    .map((each) => ({ hayLotId: each.lotId, hayLot: each.lotName, mass: wholeUnits(side(each.carriedOut), units) }))
    .filter(({ mass }) => Number(mass.value) > 0);
}

const NOTHING_TO_LAY = {
  ration: null,
  layers: [],
  freeChoice: [],
  total: null,
  perHead: null,
  dryMatterPerHead: null,
  leftovers: [],
  behind: [],
  carried: null,
  plan: null,
  shortLots: [],
  likelyEatenFirst: [],
  water: null,
  cautions: [],
};

function fedTodayAnswer(
  { feeding, fromASheet }: FedToday,
  timeZone: string,
  units: UnitSystem,
): HerdAnswer['fedThatDay'][number] {
  return {
    feedingId: feeding.feedingId,
    fedAt: feeding.at,
    fedAtRanch: feeding.at === null ? null : clockIn(timeZone, new Date(feeding.at)).slice(-5),
    enteredBy: feeding.by,
    headFed: feeding.headFed,
    total: laidOut(Mass.sum(feeding.fed.values()), units),
    fromTheSheet: fromASheet,
  };
}

function carriedAnswer(
  { since, countedAsPlanned, countedAsFed }: Morning,
  { row, plan }: RationToday,
  units: UnitSystem,
): HerdAnswer['carried'] {
  const forgiven = plan?.next === 0 ? plan.made.forgivenKg.reduce((sum, kg) => sum + kg, 0) : 0;
  return {
    rounding: row.bale_rounding,
    since,
    countedAsPlanned: [...countedAsPlanned],
    countedAsFed: [...countedAsFed],
    notTakenOff: forgiven < 0.5 ? null : wholeUnits(massOfKilograms(forgiven), units),
  };
}

/** Days of a plan that are listed. */
const DAYS_SHOWN = 10;

function planAnswer(
  { made, lotIds, next }: RunningPlan,
  herd: HerdSheet['facts'],
  today: RationToday,
  on: string,
  units: UnitSystem,
): NonNullable<HerdAnswer['plan']> {
  const names = new Map(today.laid.parts.map((part) => [part.lotId, part.facts.lot.lotName]));
  const days = made.days.slice(next, next + DAYS_SHOWN);
  const dangers = dangersOfDays(herd, today, days.length);
  return {
    need: wholeUnits(massOfKilograms(made.needKg), units),
    band: { fromPercent: percent(made.band.from), toPercent: percent(made.band.to) },
    widerThanAsked: made.widerThanAsked,
    days: days.map((day, index) => ({
      onDay: addDays(on, index),
      lay: wholeUnits(massOfKilograms(day.layKg), units),
      percentOfNeed: percent(day.shareOfNeed),
      dangers: (dangers[index] ?? []).map((each) => ({
        code: each.code,
        title: CAUTIONS[each.code].title,
        subject: each.subject?.name ?? null,
      })),
      lots: lotIds.map((lotId, lot) => ({
        hayLotId: lotId,
        hayLot: names.get(lotId) ?? '',
        bales: day.bales[lot] ?? 0,
      })),
    })),
    daysOfCoarseHayAlone: made.daysOfCoarseAlone,
  };
}

function percent(share: number): number {
  return Number((share * 100).toFixed(1));
}

function freeChoiceAnswer(
  { freeChoice, weight, facts, asFedKgPerHead }: LaidPart,
  head: number,
  lying: ReadonlyMap<string, string>,
  units: UnitSystem,
): HerdAnswer['freeChoice'] {
  if (!freeChoice || weight === null) return [];
  return [
    {
      hayLotId: facts.lot.lotId,
      hayLot: facts.lot.lotName,
      liesAt: lying.get(facts.lot.lotId) ?? null,
      intake: formatTypedPerHead({ value: weight.value, unit: weight.unit }, units),
      forTheHerd: formatMass(massOfKilograms(asFedKgPerHead).times(head), units, 'small'),
    },
  ];
}

type Layer = NonNullable<HerdSheet['sheet']>['layers'][number];

function layerAnswer(
  layer: Layer,
  { laid }: NonNullable<HerdSheet['today']>,
  lying: ReadonlyMap<string, string>,
  units: UnitSystem,
): HerdAnswer['layers'][number] {
  const baleWeight = new Map(laid.parts.map((part) => [part.lotId, part.facts.baleWeight]));
  return {
    step: layer.buildStep,
    role: layer.role,
    lay: laidOut(layer.fed, units),
    dryMatterSharePercent: Number((layer.shareOfDryMatter * 100).toFixed(2)),
    lines: layer.lines.map((line) => ({
      hayLotId: line.lotId,
      hayLot: line.lotName,
      liesAt: lying.get(line.lotId) ?? null,
      need: formatMass(line.need, units, 'small'),
      lay: laidOut(line.fed, units),
      bales:
        line.bales === null
          ? null
          : {
              open: line.bales.bales,
              weight: formatMass(baleWeight.get(line.lotId) ?? Mass.zero, units, 'small'),
              carriedIn: wholeUnits(line.bales.carriedIn, units),
              carriedOut: wholeUnits(line.bales.carriedOut, units),
              lastsDays: line.openBaleLastsDays === null ? null : Number(line.openBaleLastsDays.toFixed(1)),
            },
    })),
  };
}
