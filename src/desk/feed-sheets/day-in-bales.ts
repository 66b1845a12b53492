import { dailyShare } from '../../core/laying/bale-day-ways.js';
import { balesOf, type LaidPart, type LaidRation, layersOf } from '../facts/ration-content.js';
import type { RunningPlan } from './day-by-day.js';

/** A day of a ration that is laid in whole bales. */
export interface DayInBales {
  /** Whole bales of each lot. */
  bales: ReadonlyMap<string, number>;
  /** Of a day's hay, what is in front of the cattle: laid on this day or left from the days before. */
  hayShare: number;
}

/** The day so many days on; `null` where the plan has no such day. */
export function dayInBales({ made, next, lotIds }: RunningPlan, ahead: number): DayInBales | null {
  const day = made.days[next + ahead];
  return day === undefined
    ? null
    : { bales: new Map(lotIds.map((lotId, index) => [lotId, day.bales[index] ?? 0])), hayShare: day.hayShare };
}

/** Laid by weight beside hay: grain, cubes, mineral. */
export function goesAlong(part: LaidPart): boolean {
  return !part.freeChoice && balesOf(part) === null && !part.facts.lot.isForage;
}

/** Share of its need that is laid of such a part. */
export function alongOn({ facts }: LaidPart, { hayShare }: DayInBales): number {
  return dailyShare(hayShare, { isGrain: facts.lot.isStarchyGrain });
}

/** Hay of which whole bales are laid; bales of a concentrate are eaten on the day they are laid. */
const isBaledHay = (part: LaidPart, { bales }: DayInBales): boolean =>
  !part.freeChoice && part.facts.lot.isForage && bales.has(part.lotId);

/** Kilograms of a part that are laid a head. */
function laidKg(part: LaidPart, { laid, day, head }: { laid: LaidRation; day: DayInBales; head: number }): number {
  if (goesAlong(part)) return part.asFedKgPerHead * alongOn(part, day);
  const whole = day.bales.get(part.lotId);
  if (whole === undefined || part.freeChoice) return part.asFedKgPerHead;
  const ofLot = laid.parts.filter((one) => one.lotId === part.lotId && !one.freeChoice);
  const need = ofLot.reduce((sum, one) => sum + one.asFedKgPerHead, 0);
  const kilograms = whole * (part.facts.baleWeight?.kilograms.toNumber() ?? 0);
  return (kilograms * part.asFedKgPerHead) / need / head;
}

/**
 * The ration as laid on the day, and as cattle eat it: bales last for days, what is laid by weight is for the day. Of
 * the hay they eat a day's need, of what is laid first and then of what lies from the days before. Where all of a
 * ration is in bales nothing else is eaten with it than was laid with it, so the day is judged as laid; a day on which
 * nothing is laid, by the ration.
 */
export function laidAndEaten(
  laid: LaidRation,
  day: DayInBales | null,
  head: number,
): { asLaid: LaidRation; asEaten: LaidRation } {
  if (day === null) return { asLaid: laid, asEaten: laid };
  const kilograms = new Map(laid.parts.map((part) => [part, laidKg(part, { laid, day, head })]));
  const inBales = laid.parts.filter((part) => isBaledHay(part, day));
  const isAllBales = laid.parts.every((part) => day.bales.has(part.lotId));
  if (laid.parts.every((part) => part.freeChoice || (kilograms.get(part) ?? 0) <= 0))
    return { asLaid: laid, asEaten: laid };
  const asLaid = withKilograms(laid, kilograms);
  if (isAllBales) return { asLaid, asEaten: asLaid };
  const sumOf = (kg: (part: LaidPart) => number): number => inBales.reduce((sum, part) => sum + kg(part), 0);
  const needKg = sumOf((part) => part.asFedKgPerHead);
  const baledKg = sumOf((part) => kilograms.get(part) ?? 0);
  const looseKg = laid.parts
    .filter((part) => !part.freeChoice && part.facts.lot.isForage && !day.bales.has(part.lotId))
    .reduce((sum, part) => sum + part.asFedKgPerHead, 0);
  const eatenKg = Math.max(0, day.hayShare * (needKg + looseKg) - looseKg);
  const eaten = new Map(kilograms);
  for (const part of inBales) {
    const own = kilograms.get(part) ?? 0;
    const before = ((eatenKg - baledKg) * part.asFedKgPerHead) / needKg;
    eaten.set(part, baledKg > eatenKg ? (own * eatenKg) / baledKg : own + before);
  }
  return { asLaid, asEaten: withKilograms(laid, eaten) };
}

function withKilograms(laid: LaidRation, kilograms: ReadonlyMap<LaidPart, number>): LaidRation {
  const laidOut = laid.parts.map((part) => ({ part, kg: kilograms.get(part) ?? 0 })).filter(({ kg }) => kg > 0);
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
  return { ...laid, parts, layers: layersOf(parts), asFedKgPerHead, dryMatterKgPerHead };
}
