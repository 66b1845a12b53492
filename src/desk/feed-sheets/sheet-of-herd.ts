import { WATER_CAUTIONS, type WaterOnTheDay } from '../../core/cautions/water.js';
import { type FeedSheet, feedSheet, type SheetLayer } from '../../core/laying/feed-sheet.js';
import { Mass } from '../../core/units/mass.js';
import type { HerdFacts } from '../facts/herd-facts.js';
import { type LaidRation, massOfKilograms, type RationRow } from '../facts/ration-content.js';
import { drinkersOf, type WaterSource } from '../facts/water.js';
import { judgeRation, legumeShareOf, USUAL_JUDGING } from '../judge/ration-judge.js';

export interface RationToday {
  row: RationRow;
  laid: LaidRation;
  /** What the last confirmed feeding left of each lot. */
  carriedIn: ReadonlyMap<string, Mass>;
}

/**
 * The core's sheet of one herd, from what was gathered, and why its ration could not be judged, if so. Water is a
 * matter of the place and is added there.
 */
export function sheetOfHerd(
  herd: HerdFacts,
  { row, laid, carriedIn }: RationToday,
  placeName: string,
): { sheet: FeedSheet; notJudgedBecause: string[] } {
  const rounding = row.bale_rounding;
  const judged = judgeRation(herd, laid, {
    ...USUAL_JUDGING,
    statedWastedShare: row.wasted_percent === null ? null : Number(row.wasted_percent) / 100,
    showCost: false,
    fedAtPresent: true,
  });
  const positions = [...new Set(laid.parts.map((part) => part.position))].sort((a, b) => a - b);
  const sheet = feedSheet({
    placeName,
    day: herd.on,
    head: herd.head,
    rounding,
    layers: positions.map((position): SheetLayer => {
      const parts = laid.parts.filter((part) => part.position === position);
      return {
        role: parts[0]?.role ?? 'mixed',
        lots: parts.map(({ facts, asFedKgPerHead, shares }) => {
          const over = carriedIn.get(facts.lot.lotId) ?? Mass.zero;
          return {
            lotId: facts.lot.lotId,
            lotName: facts.lot.lotName,
            asFedPerHead: massOfKilograms(asFedKgPerHead),
            dryMatterPercent: facts.lot.dryMatterPercent.value,
            bulkDensityKgPerM3: shares.bulkDensityKgPerM3.value,
            texture: facts.kind.texture,
            baleWeight: facts.row.bale_form === 'loose' ? null : facts.baleWeight,
            onHand: facts.balance,
            // What is over lies in opened bales; there is never less than none, unless whole bales are counted against
            // the need.
            carriedIn: rounding === 'open-enough' && over.isNegative() ? Mass.zero : over,
          };
        }),
      };
    }),
    waterNeedLPerHead: judged.requirement?.waterLPerDay ?? null,
    water: null,
    laying: { weather: 'dry', hayWasWet: null, legumeShareOfDryMatter: legumeShareOf(laid), space: herd.space },
    // Legume is told of by the laying, the water by the place.
    rationCautions: judged.cautions.filter(({ code }) => code !== 'legume-bloat' && !WATER_CAUTIONS.includes(code)),
  });
  return { sheet, notJudgedBecause: [...new Set(judged.refusedBecause.map((one) => one.message))] };
}

/**
 * The sources of a place against the need of all its herds: each on its own for ice and salts, and together for the
 * amount.
 */
export function waterOfPlace(
  sources: readonly WaterSource[],
  herds: readonly HerdFacts[],
  needLPerDay: number | null,
  toldIn: 'L' | 'gal',
): WaterOnTheDay[] {
  const kind = { ...drinkersOf(herds.map((herd) => herd.animal)), toldIn };
  const each = sources.map((source): WaterOnTheDay => ({
    sourceName: source.name,
    frozen: source.state === 'frozen',
    supplyLPerDay: null,
    needLPerDay: null,
    dissolvedSolidsMgPerL: source.dissolvedSolidsMgPerL,
    sulfateMgPerL: source.sulfateMgPerL,
    ...kind,
  }));
  // A source that nobody has looked at lately gives an amount that nobody knows.
  const open = sources.filter((source) => source.state !== 'frozen');
  // If one open source was not measured, nobody knows what all of them give.
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
