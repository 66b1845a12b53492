import { type RaisedCaution, worstFirst } from '../../core/cautions/caution.js';
import { WATER_CAUTIONS, type WaterOnTheDay } from '../../core/cautions/water.js';
import { fedBeforeLater } from '../../core/judge/fed-before.js';
import { type FeedSheet, feedSheet, type SheetLayer } from '../../core/laying/feed-sheet.js';
import { Mass } from '../../core/units/mass.js';
import type { HerdFacts } from '../facts/herd-facts.js';
import { balesOf, type LaidRation, massOfKilograms, partOfDay, type RationRow } from '../facts/ration-content.js';
import { drinkersOf, type WaterSource } from '../facts/water.js';
import { type JudgedRation, judgeRation, legumeShareOf, USUAL_JUDGING } from '../judge/ration-judge.js';
import type { RunningPlan } from './day-by-day.js';
import { alongOn, dayInBales, goesAlong, laidAndEaten } from './day-in-bales.js';

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
  const day = plan === null ? null : dayInBales(plan, 0);
  // Judged is what they eat of what is in front of them today, not what whole bales average over days.
  const { asLaid, asEaten } = laidAndEaten(laid, day, herd.head);
  const cautions = cautionsOfDay(asLaid, asEaten, (ration) =>
    ration === laid ? judged : judgedSheet(herd, row, ration),
  );
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
          const balesPlanned = day?.bales.get(facts.lot.lotId);
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
            ...(day !== null && goesAlong(part) ? { laidShare: alongOn(part, day) } : {}),
            // The leftover is in opened bales and never below zero, unless whole bales are counted against the need.
            carriedIn: rounding === 'open-enough' && over.isNegative() ? Mass.zero : over,
          };
        }),
      };
    }),
    waterNeedLPerHead: judged.requirement?.waterLPerDay ?? null,
    water: null,
    temperatureC: herd.weather?.temperatureC,
    laying: { weather: 'dry', hayWasWet: null, legumeShareOfDryMatter: legumeShareOf(asEaten), space: herd.space },
    rationCautions: cautions.filter(isOfTheRation),
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

/** What is eaten is judged; how much is offered is what is laid, if any hay is laid. */
function cautionsOfDay(
  asLaid: LaidRation,
  asEaten: LaidRation,
  judge: (ration: LaidRation) => JudgedRation,
): readonly RaisedCaution[] {
  const { cautions } = judge(asEaten);
  if (asLaid === asEaten || !asLaid.parts.some((part) => !part.freeChoice && part.facts.lot.isForage)) return cautions;
  const ofOffer = ({ code }: RaisedCaution): boolean => code === 'more-than-eaten';
  return worstFirst([...cautions.filter((one) => !ofOffer(one)), ...judge(asLaid).cautions.filter(ofOffer)]);
}

/** Legume is reported with the laying, water with the place. */
function isOfTheRation({ code }: RaisedCaution): boolean {
  return code !== 'legume-bloat' && !WATER_CAUTIONS.includes(code);
}

/**
 * The dangers of the days that a plan in whole bales lists, the first being that of the sheet, worst first: each is
 * judged by what they eat of what is laid, for the herd as it is now and used to the ration as it will be by then.
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
    const { asEaten } = laidAndEaten(laid, dayInBales(plan, ahead), herd.head);
    return judgedSheet(then, row, asEaten).cautions.filter((one) => one.severity === 'danger' && isOfTheRation(one));
  });
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
