import { WATER_CAUTIONS, type WaterOnTheDay } from '../../core/cautions/water.js';
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
  type RationRow,
} from '../facts/ration-content.js';
import { drinkersOf, type WaterSource } from '../facts/water.js';
import { judgeRation, legumeShareOf, USUAL_JUDGING } from '../judge/ration-judge.js';
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
  const judge = (ration: LaidRation) =>
    judgeRation(herd, ration, {
      ...USUAL_JUDGING,
      statedWastedShare: row.wasted_percent === null ? null : Number(row.wasted_percent) / 100,
      showCost: false,
      fedAtPresent: true,
    });
  const judged = judge(laid);
  const bales = balesToday(plan);
  // Judged is what is in front of the cattle today, not what whole bales average over days.
  const along = bales === null ? 1 : alongToday(laid, bales, herd.head);
  const asLaid = bales === null ? laid : laidInBales(laid, { bales, along, head: herd.head });
  const today = asLaid === laid ? judged : judge(asLaid);
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
    laying: { weather: 'dry', hayWasWet: null, legumeShareOfDryMatter: legumeShareOf(asLaid), space: herd.space },
    // Legume is reported with the laying, water with the place.
    rationCautions: today.cautions.filter(({ code }) => code !== 'legume-bloat' && !WATER_CAUTIONS.includes(code)),
  });
  return { sheet, notJudgedBecause: [...new Set(judged.refusedBecause.map((one) => one.message))] };
}

function balesToday(plan: RunningPlan | null): Map<string, number> | null {
  const day = plan?.made.days[plan.next];
  if (plan === null || day === undefined) return null;
  return new Map(plan.lotIds.map((lotId, index) => [lotId, day.bales[index] ?? 0]));
}

/** Laid as needed, but only along with hay: grain, cubes, mineral. */
function goesAlong(part: LaidPart): boolean {
  return !part.freeChoice && balesOf(part) === null && !part.facts.lot.isForage;
}

/** Share of what goes along with hay that is laid on a day of so many bales. */
function alongToday({ parts }: LaidRation, bales: ReadonlyMap<string, number>, head: number): number {
  const hay = parts.filter((part) => !part.freeChoice && !goesAlong(part));
  const totalKg = hay.reduce((sum, part) => sum + part.asFedKgPerHead * head, 0);
  const baled = [...new Map(hay.map((part) => [part.lotId, part.facts.baleWeight])).entries()];
  const looseKg = hay
    .filter((part) => !bales.has(part.lotId))
    .reduce((sum, part) => sum + part.asFedKgPerHead * head, 0);
  const balesKg = baled.reduce(
    (sum, [lotId, weight]) => sum + (bales.get(lotId) ?? 0) * (weight?.kilograms.toNumber() ?? 0),
    0,
  );
  return totalKg > 0 ? alongShare(looseKg + balesKg, { totalKg }) : 1;
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
  const laidToday = laid.parts.map((part) => ({ part, kg: perHead(part) })).filter(({ kg }) => kg > 0);
  if (laidToday.every(({ part }) => part.freeChoice)) return laid;
  const dryMatter = (part: LaidPart, kg: number): number => (kg * part.facts.lot.dryMatterPercent.value) / 100;
  const asFedKgPerHead = laidToday.reduce((sum, { kg }) => sum + kg, 0);
  const dryMatterKgPerHead = laidToday.reduce((sum, { part, kg }) => sum + dryMatter(part, kg), 0);
  const volume = (part: LaidPart, kg: number): number => kg / part.shares.bulkDensityKgPerM3.value;
  const volumePerHead = laidToday.reduce((sum, { part, kg }) => sum + volume(part, kg), 0);
  const parts = laidToday.map(({ part, kg }): LaidPart => ({
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
