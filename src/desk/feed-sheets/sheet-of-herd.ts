import type { RaisedCaution } from '../../core/cautions/caution.js';
import { WATER_CAUTIONS, type WaterOnTheDay } from '../../core/cautions/water.js';
import { fedBeforeLater } from '../../core/judge/fed-before.js';
import { alongShare } from '../../core/laying/bale-day-ways.js';
import { type FeedSheet, feedSheet, type SheetLayer } from '../../core/laying/feed-sheet.js';
import { Mass } from '../../core/units/mass.js';
import type { HerdFacts } from '../facts/herd-facts.js';
import {
  balesOf,
  type LaidPart,
  type LaidRation,
  layersOf,
  massOfKilograms,
  partOfDay,
  type RationRow,
} from '../facts/ration-content.js';
import { drinkersOf, type WaterSource } from '../facts/water.js';
import { type JudgedRation, judgeRation, legumeShareOf, USUAL_JUDGING } from '../judge/ration-judge.js';
import type { RunningPlan } from './day-by-day.js';

export interface RationToday {
  row: RationRow;
  laid: LaidRation;
  /** What each lot starts the day with, from what was confirmed or planned before. */
  carriedIn: ReadonlyMap<string, Mass>;
  /** The plan that says how many whole bales to lay; undefined where bales are opened as needed. */
  plan: RunningPlan | null;
}

/**
 * The core's sheet for one herd, from the gathered facts, with the reason if its ration could not be judged. Water
 * belongs to the place and is added there.
 */
export function sheetOfHerd(
  herd: HerdFacts,
  { row, laid, carriedIn, plan }: RationToday,
  placeName: string,
): { sheet: FeedSheet; notJudgedBecause: string[] } {
  const rounding = row.bale_rounding;
  const judged = judgedSheet(herd, row, laid);
  const bales = plan === null ? null : balesOn(plan, 0);
  // Judged is what is in front of the cattle today, not what whole bales average over days.
  const { along, asLaid } = laidToday(laid, bales, herd.head);
  const today = asLaid === laid ? judged : judgedSheet(herd, row, asLaid);
  const inLayers = laid.parts.filter((part) => !part.freeChoice);
  const positions = [...new Set(inLayers.map((part) => part.position))].sort((a, b) => a - b);
  const sheet = feedSheet({
    placeName,
    day: herd.on,
    head: herd.head,
    rounding,
    layers: positions.map((position): SheetLayer => {
      const parts = inLayers.filter((part) => part.position === position);
      return {
        role: parts[0]?.role ?? 'mixed',
        lots: parts.map((part) => {
          const { facts, asFedKgPerHead, shares } = part;
          const over = carriedIn.get(facts.lot.lotId) ?? Mass.zero;
          const balesPlanned = bales?.get(facts.lot.lotId);
          return {
            lotId: facts.lot.lotId,
            lotName: facts.lot.lotName,
            asFedPerHead: massOfKilograms(asFedKgPerHead),
            dryMatterPercent: facts.lot.dryMatterPercent.value,
            bulkDensityKgPerM3: shares.bulkDensityKgPerM3.value,
            texture: facts.kind.texture,
            baleWeight: balesOf(part),
            onHand: facts.balance,
            wrapped: facts.row.storage_method === 'plastic-wrap',
            ...(balesPlanned === undefined ? {} : { balesPlanned }),
            ...(goesAlong(part) ? { laidShare: along } : {}),
            // The leftover is in opened bales and never below zero, unless whole bales are counted against the need.
            carriedIn: rounding === 'open-enough' && over.isNegative() ? Mass.zero : over,
          };
        }),
      };
    }),
    waterNeedLPerHead: judged.requirement?.waterLPerDay ?? null,
    water: null,
    temperatureC: herd.weather?.temperatureC,
    laying: { weather: 'dry', hayWasWet: null, legumeShareOfDryMatter: legumeShareOf(asLaid), space: herd.space },
    rationCautions: today.cautions.filter(isOfTheRation),
  });
  return { sheet, notJudgedBecause: [...new Set(judged.refusedBecause.map((one) => one.message))] };
}

function judgedSheet(herd: HerdFacts, row: RationRow, ration: LaidRation): JudgedRation {
  return judgeRation(herd, ration, {
    ...USUAL_JUDGING,
    statedWastedShare: row.wasted_percent === null ? null : Number(row.wasted_percent) / 100,
    showCost: false,
    fedAtPresent: true,
    ofOneDay: true,
  });
}

/** Legume is reported with the laying, water with the place. */
function isOfTheRation({ code }: RaisedCaution): boolean {
  return code !== 'legume-bloat' && !WATER_CAUTIONS.includes(code);
}

/**
 * The dangers of the days that a plan in whole bales lists, the first being that of the sheet, worst first: each is
 * judged by what its bales lay, for the herd as it is now and used to the ration as it will be by then.
 */
export function dangersOfDays(
  herd: HerdFacts,
  { row, laid, plan }: RationToday,
  days: number,
): readonly (readonly RaisedCaution[])[] {
  if (plan === null) return [];
  const ration = laid.parts.map(({ facts, asFedKgPerHead }) => partOfDay(facts.lot, asFedKgPerHead));
  return Array.from({ length: days }, (_, ahead) => {
    const then = { ...herd, fedBefore: fedBeforeLater(herd.fedBefore, ration, ahead) };
    const { asLaid } = laidToday(laid, balesOn(plan, ahead), herd.head);
    return judgedSheet(then, row, asLaid).cautions.filter((one) => one.severity === 'danger' && isOfTheRation(one));
  });
}

function laidToday(
  laid: LaidRation,
  bales: ReadonlyMap<string, number> | null,
  head: number,
): { along: number; asLaid: LaidRation } {
  if (bales === null) return { along: 1, asLaid: laid };
  const along = alongToday(laid, bales, head);
  return { along, asLaid: laidInBales(laid, { bales, along, head }) };
}

/** Whole bales of each lot, so many days on. */
function balesOn({ made, next, lotIds }: RunningPlan, ahead: number): Map<string, number> | null {
  const day = made.days[next + ahead];
  return day === undefined ? null : new Map(lotIds.map((lotId, index) => [lotId, day.bales[index] ?? 0]));
}

/** Laid as needed, but only along with hay: grain, cubes, mineral. */
function goesAlong(part: LaidPart): boolean {
  return !part.freeChoice && balesOf(part) === null && !part.facts.lot.isForage;
}

/** Share of what goes along with hay that is laid on a day of so many bales. */
function alongToday({ parts }: LaidRation, bales: ReadonlyMap<string, number>, head: number): number {
  const hay = parts.filter((part) => !part.freeChoice && part.facts.lot.isForage);
  const needKg = (of: readonly LaidPart[]): number => of.reduce((sum, part) => sum + part.asFedKgPerHead * head, 0);
  const baled = [...new Map(hay.map((part) => [part.lotId, part.facts.baleWeight])).entries()];
  const balesKg = baled.reduce(
    (sum, [lotId, weight]) => sum + (bales.get(lotId) ?? 0) * (weight?.kilograms.toNumber() ?? 0),
    0,
  );
  return alongShare(needKg(hay.filter((part) => !bales.has(part.lotId))) + balesKg, { hayKg: needKg(hay) });
}

/**
 * The ration as laid in whole bales on one day. A day on which nothing is laid is judged by the ration: cattle eat what
 * was laid before, so what stands in front of them is not all they get.
 */
function laidInBales(
  laid: LaidRation,
  { bales, along, head }: { bales: ReadonlyMap<string, number>; along: number; head: number },
): LaidRation {
  const need = (lotId: string): number =>
    laid.parts.filter((part) => part.lotId === lotId).reduce((sum, part) => sum + part.asFedKgPerHead, 0);
  const perHead = (part: LaidPart): number => {
    const whole = bales.get(part.lotId);
    const kilograms = (whole ?? 0) * (part.facts.baleWeight?.kilograms.toNumber() ?? 0);
    if (goesAlong(part)) return part.asFedKgPerHead * along;
    return whole === undefined ? part.asFedKgPerHead : (kilograms * part.asFedKgPerHead) / need(part.lotId) / head;
  };
  const laidOut = laid.parts.map((part) => ({ part, kg: perHead(part) })).filter(({ kg }) => kg > 0);
  if (laidOut.every(({ part }) => part.freeChoice)) return laid;
  const dryMatter = (part: LaidPart, kg: number): number => (kg * part.facts.lot.dryMatterPercent.value) / 100;
  const asFedKgPerHead = laidOut.reduce((sum, { kg }) => sum + kg, 0);
  const dryMatterKgPerHead = laidOut.reduce((sum, { part, kg }) => sum + dryMatter(part, kg), 0);
  const volume = (part: LaidPart, kg: number): number => kg / part.shares.bulkDensityKgPerM3.value;
  const volumePerHead = laidOut.reduce((sum, { part, kg }) => sum + volume(part, kg), 0);
  const parts = laidOut.map(({ part, kg }): LaidPart => ({
    ...part,
    asFedKgPerHead: kg,
    shares: {
      ...part.shares,
      volumeShare: volume(part, kg) / volumePerHead,
      asFedShare: kg / asFedKgPerHead,
      dryMatterShare: dryMatter(part, kg) / dryMatterKgPerHead,
    },
  }));
  return {
    ...laid,
    parts,
    layers: layersOf(parts),
    asFedKgPerHead,
    dryMatterKgPerHead,
  };
}

/**
 * The water sources of a place against the need of all its herds: one by one for ice and salts, together for the
 * amount.
 */
export function waterOfPlace(
  sources: readonly WaterSource[],
  herds: readonly HerdFacts[],
  needLPerDay: number | null,
): WaterOnTheDay[] {
  const kind = drinkersOf(herds.map((herd) => herd.animal));
  const each = sources.map((source): WaterOnTheDay => ({
    sourceName: source.name,
    frozen: source.state === 'frozen',
    onlySource: sources.every((one) => one.state === 'frozen'),
    supplyLPerDay: null,
    needLPerDay: null,
    dissolvedSolidsMgPerL: source.dissolvedSolidsMgPerL,
    sulfateMgPerL: source.sulfateMgPerL,
    ...kind,
  }));
  // The supply of a source that nobody has checked lately is unknown.
  const open = sources.filter((source) => source.state !== 'frozen');
  // If one open source was not measured, the total is unknown.
  const supply =
    open.length === 0 || open.some((source) => source.supplyLPerDay === null)
      ? null
      : open.reduce((sum, source) => sum + (source.supplyLPerDay ?? 0), 0);
  const together: WaterOnTheDay = {
    sourceName: open.length === 1 ? (open[0]?.name ?? '') : 'The water of this place',
    frozen: null,
    supplyLPerDay: supply,
    needLPerDay,
    dissolvedSolidsMgPerL: null,
    sulfateMgPerL: null,
    ...kind,
  };
  return [...each, ...(supply === null ? [] : [together])];
}
