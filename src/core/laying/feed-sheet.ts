import { counted } from '../units/counted.js';
import { plain, raiseIfPassed, worstFirst, type RaisedCaution } from '../cautions/caution.js';
import { CAUTIONS } from '../cautions/cautions.data.js';
import { waterCautions, type WaterOnTheDay } from '../cautions/water.js';
import { decimal, decimalFromFloat } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import { quantity, sentence, type Words } from '../units/wording.js';
import { layingCautions, likelyEatenOrder, type LaidFeeding } from './laying-cautions.js';
import type { HayTexture, LayerRole } from './layer.js';
import { planWholeBales, type BalePlan, type BaleRounding } from './whole-bales.js';

/** One lot within a layer of the ration, per head. */
export interface SheetLot {
  readonly lotId: string;
  readonly lotName: string;
  readonly asFedPerHead: Mass;
  readonly dryMatterPercent: number;
  readonly bulkDensityKgPerM3: number;
  readonly texture?: HayTexture;
  /** Mean weight of a bale of the lot; `null` for loose hay, which is not rounded. */
  readonly baleWeight: Mass | null;
  /** What the last feeding left over (see `planWholeBales`). A lot in several layers starts from it once. */
  readonly carriedIn: Mass;
  /** Whole bales of the lot on this day, in all its layers, where a plan over days sets them. */
  readonly balesPlanned?: number;
  /** Share of a loose lot's need that is laid on this day beside the hay in front of the cattle. */
  readonly laidShare?: number;
  /** What the ledger says is left of the lot, opened bales included; `null` if it is not checked. */
  readonly onHand: Mass | null;
  /** Silage in plastic: it spoils once its bale is open. */
  readonly wrapped?: boolean;
}

export interface SheetLayer {
  readonly role: LayerRole;
  readonly lots: readonly SheetLot[];
}

export interface FeedSheetRequest {
  readonly placeName: string;
  /** Local calendar day, as the caller writes it. */
  readonly day: string;
  readonly head: number;
  /** Build order, bottom first. */
  readonly layers: readonly SheetLayer[];
  readonly rounding: BaleRounding;
  readonly waterNeedLPerHead: number | null;
  readonly water: Omit<WaterOnTheDay, 'needLPerDay'> | null;
  /** Mean of the day; absent where it is not known. */
  readonly temperatureC?: number | undefined;
  readonly laying: Pick<LaidFeeding, 'weather' | 'hayWasWet' | 'legumeShareOfDryMatter' | 'space'>;
  /** Cautions of the ration itself, from its evaluation. */
  readonly rationCautions: readonly RaisedCaution[];
}

interface FeedSheetLine {
  readonly lotId: string;
  readonly lotName: string;
  readonly need: Mass;
  /** What goes out: the need, or whole bales. */
  readonly fed: Mass;
  readonly needPounds: string;
  readonly fedPounds: string;
  readonly dryMatterFedKg: number;
  /** `null` for loose hay. */
  readonly bales: BalePlan | null;
  /** Days until a bale that is opened is eaten; `null` where bales are laid whole or not counted. */
  readonly openBaleLastsDays: number | null;
  readonly carriedOut: Mass;
}

interface FeedSheetLayer {
  /** 1 is laid first and is the bottom. */
  readonly buildStep: number;
  readonly role: LayerRole;
  readonly lines: readonly FeedSheetLine[];
  readonly fed: Mass;
  readonly shareOfDryMatter: number;
}

export interface FeedSheet {
  readonly placeName: string;
  readonly day: string;
  readonly head: number;
  readonly layers: readonly FeedSheetLayer[];
  readonly totalFed: Mass;
  readonly dryMatterKgPerHead: number;
  /** Per lot, after its last layer: what the next feeding starts from. */
  readonly leftovers: readonly { readonly lotId: string; readonly lotName: string; readonly carriedOut: Mass }[];
  /** Lots whose balance does not cover the sheet, with the shortfall. A lot without a stated balance is not judged. */
  readonly shortLots: readonly { readonly lotId: string; readonly lotName: string; readonly shortBy: Mass }[];
  /** Build steps in the order in which cattle likely reach them: top first. */
  readonly likelyEatenFirst: readonly number[];
  readonly waterNeedLPerDay: number | null;
  /** Worst first. */
  readonly cautions: readonly RaisedCaution[];
}

/** Decimal places of pounds of hay on a sheet: nobody forks tenths. */
const POUND_PLACES = 0;

/**
 * Today's sheet for one place: what to lay, in which order, how much of which lot, what is left over, how much water,
 * and what to watch for. Plain data; a page or a PDF renders it.
 * @throws RangeError if head is not a whole number of at least 1, or the ration has no layer.
 */
export function feedSheet(request: FeedSheetRequest): FeedSheet {
  const { head, layers } = request;
  if (!Number.isSafeInteger(head) || head < 1)
    throw new RangeError(`A feed sheet needs at least one head, was given ${head}`);
  if (layers.length === 0) throw new RangeError('A feed sheet needs at least one layer');
  const { built, carried } = linesOf(request);
  const dryMatter = built.map((lines) => lines.reduce((sum, line) => sum + line.dryMatterFedKg, 0));
  const totalDryMatter = dryMatter.reduce((sum, kg) => sum + kg, 0);
  const sheetLayers = layers.map((layer, index) => ({
    buildStep: index + 1,
    role: layer.role,
    lines: built[index] ?? [],
    fed: Mass.sum((built[index] ?? []).map((line) => line.fed)),
    shareOfDryMatter: totalDryMatter === 0 ? 0 : (dryMatter[index] ?? 0) / totalDryMatter,
  }));
  const waterNeedLPerDay = request.waterNeedLPerHead === null ? null : request.waterNeedLPerHead * head;
  const lines = sheetLayers.flatMap((layer) => layer.lines);
  const lots = [...new Map(layers.flatMap((layer) => layer.lots).map((lot) => [lot.lotId, lot])).values()];
  return {
    placeName: request.placeName,
    day: request.day,
    head,
    layers: sheetLayers,
    totalFed: Mass.sum(lines.map((line) => line.fed)),
    dryMatterKgPerHead: totalDryMatter / head,
    leftovers: lots
      .map(({ lotId, lotName }) => ({ lotId, lotName, carriedOut: carried.get(lotId) ?? Mass.zero }))
      .filter((each) => !each.carriedOut.isZero()),
    shortLots: lots.flatMap(({ lotId, lotName, onHand }) => {
      if (onHand === null) return [];
      const shortBy = Mass.sum(lines.filter((line) => line.lotId === lotId).map((line) => line.fed)).minus(onHand);
      return shortBy.isPositive() ? [{ lotId, lotName, shortBy }] : [];
    }),
    likelyEatenFirst: likelyEatenOrder({ layers: sheetLayers }).order.map((layer) => layer.buildStep),
    waterNeedLPerDay,
    cautions: worstFirst([
      ...ofTheRation(request.rationCautions, lines, lots),
      ...shortDayCautions(lines, lots),
      ...openBaleCautions(lots, lines, request.temperatureC),
      ...layingCautions({
        ...request.laying,
        blended: false,
        head,
        layers: layers.flatMap((layer, index) =>
          layer.lots.map((lot, place) => ({
            name: lot.lotName,
            role: layer.role,
            ...(lot.texture === undefined ? {} : { texture: lot.texture }),
            kgAsFed: built[index]?.[place]?.fed.kilograms.toNumber() ?? 0,
            bulkDensityKgPerM3: lot.bulkDensityKgPerM3,
          })),
        ),
      }),
      ...(request.water === null ? [] : waterCautions({ ...request.water, needLPerDay: waterNeedLPerDay })),
    ]),
  };
}

/** What lies from the days before, where no bale is laid of what is needed; `null` where one is. */
function fromTheDaysBefore(lines: readonly FeedSheetLine[], lots: readonly SheetLot[]): Words | null {
  const counted = inBales(lines);
  if (!counted.some((line) => line.need.isPositive()) || counted.some((line) => line.fed.isPositive())) return null;
  // Of a lot that is behind, they ate another one instead.
  const left = Mass.sum(lots.map(({ carriedIn }) => carriedIn));
  return left.isPositive()
    ? sentence`; ${quantity(left.kilograms.toNumber(), 'kg', 0)} lies from the days before`
    : ', and nothing lies from the days before';
}

/** What a day without a bale may lay all the same is weighed out: meal, mineral, salt. */
function inBales(lines: readonly FeedSheetLine[]): readonly FeedSheetLine[] {
  const baled = lines.filter(({ bales }) => bales !== null);
  return baled.length === 0 ? lines : baled;
}

const isNothingLaid = (lines: readonly FeedSheetLine[]): boolean => !lines.some((line) => line.fed.isPositive());

/** Where no bale is laid, the ration is what is judged, and what it offers is said to be the ration's. */
function ofTheRation(
  cautions: readonly RaisedCaution[],
  lines: readonly FeedSheetLine[],
  lots: readonly SheetLot[],
): RaisedCaution[] {
  const before = fromTheDaysBefore(lines, lots);
  const what = isNothingLaid(lines) ? 'Nothing' : 'No bale';
  return cautions.map((one) =>
    before === null || one.code !== 'more-than-eaten'
      ? one
      : { ...one, message: sentence`${what} is laid today${before}. By the ration: ${one.message}` },
  );
}

/** Whole bales come out unevenly; a day that is left well short of the need is told, not just carried on. */
function shortDayCautions(lines: readonly FeedSheetLine[], lots: readonly SheetLot[]): RaisedCaution[] {
  const need = Mass.sum(lines.map((line) => line.need));
  const fed = Mass.sum(lines.map((line) => line.fed));
  if (!need.isPositive()) return [];
  const share = fed.ratioTo(need).toNumber();
  const kilogramsOf = (mass: Mass) => quantity(mass.kilograms.toNumber(), 'kg', 0);
  const before = fromTheDaysBefore(lines, lots);
  const needed = kilogramsOf(need);
  const inBale = kilogramsOf(Mass.sum(inBales(lines).map((line) => line.need)));
  return raiseIfPassed({
    code: 'short-day',
    severity: 'watch',
    given: share,
    threshold: CAUTIONS['short-day'].thresholds.shareOfNeed,
    message:
      before === null
        ? sentence`${kilogramsOf(fed)} of the ${needed} needed is laid.`
        : isNothingLaid(lines)
          ? sentence`Nothing of the ${needed} needed is laid today${before}.`
          : sentence`No bale of the ${inBale} needed in bales is laid today${before}.`,
  });
}

/** A wrapped bale that is opened and not eaten within days spoils; a lot is eaten in all its layers. */
function openBaleCautions(
  lots: readonly SheetLot[],
  lines: readonly FeedSheetLine[],
  temperatureC: number | undefined,
): RaisedCaution[] {
  const { days, daysInWarmth, warmC } = CAUTIONS['open-bale-lasts'].thresholds;
  const threshold = temperatureC !== undefined && temperatureC > warmC.value ? daysInWarmth : days;
  return lots.flatMap(({ lotId, lotName, wrapped, baleWeight }) => {
    const own = lines.filter((line) => line.lotId === lotId);
    const lasts = lastingDays(baleWeight, Mass.sum(own.map((line) => line.need)));
    if (wrapped !== true || lasts === null || own.every((line) => line.openBaleLastsDays === null)) return [];
    return raiseIfPassed({
      code: 'open-bale-lasts',
      severity: 'watch',
      subject: { kind: 'lot', name: lotName, id: lotId },
      given: lasts,
      threshold,
      message: `A bale of ${lotName} lasts this herd ${counted(Number(plain(lasts, 1)), 'day')} once it is open.`,
    });
  });
}

function lastingDays(baleWeight: Mass | null, need: Mass): number | null {
  return baleWeight === null || !need.isPositive() ? null : baleWeight.ratioTo(need).toNumber();
}

/** The lines of each layer, and what its last layer leaves of each lot. */
function linesOf({ layers, head, rounding }: FeedSheetRequest): {
  built: FeedSheetLine[][];
  carried: Map<string, Mass>;
} {
  // A bale opened for a lower layer goes on in the next layer of the same lot.
  const carried = new Map<string, Mass>();
  const laid = new Map<string, Mass>();
  const planned = balesByLayer(layers);
  const built = layers.map((layer, step) =>
    layer.lots.map((lot) => {
      const line = lineOf({
        lot: {
          ...lot,
          carriedIn: carried.get(lot.lotId) ?? lot.carriedIn,
          onHand: lot.onHand?.minus(laid.get(lot.lotId) ?? Mass.zero) ?? null,
        },
        head,
        rounding: rounding,
        planned: planned.get(lot.lotId)?.splice(step, 1, 0)[0],
      });
      carried.set(lot.lotId, line.carriedOut);
      laid.set(lot.lotId, (laid.get(lot.lotId) ?? Mass.zero).plus(line.fed));
      return line;
    }),
  );
  return { built, carried };
}

/** The planned bales of each lot, by the step in which they are laid: shared out as the needs of its layers are. */
function balesByLayer(layers: readonly SheetLayer[]): Map<string, number[]> {
  const steps = new Map<string, number[]>();
  for (const { lotId, balesPlanned } of layers.flatMap((layer) => layer.lots)) {
    if (balesPlanned === undefined || steps.has(lotId)) continue;
    const needs = layers.map((layer) =>
      layer.lots
        .filter((lot) => lot.lotId === lotId)
        .reduce((sum, lot) => sum + lot.asFedPerHead.kilograms.toNumber(), 0),
    );
    const total = needs.reduce((sum, need) => sum + need, 0);
    let needed = 0;
    let laid = 0;
    steps.set(
      lotId,
      needs.map((need) => {
        needed += need;
        const upToHere = total === 0 ? 0 : Math.round((balesPlanned * needed) / total);
        const here = upToHere - laid;
        laid = upToHere;
        return here;
      }),
    );
  }
  return steps;
}

function lineOf({
  lot,
  head,
  rounding,
  planned,
}: {
  readonly lot: SheetLot;
  readonly head: number;
  readonly rounding: BaleRounding;
  readonly planned: number | undefined;
}): FeedSheetLine {
  const need = lot.asFedPerHead.times(head);
  const bales =
    lot.baleWeight === null
      ? null
      : planWholeBales({
          need,
          baleWeight: lot.baleWeight,
          carriedIn: lot.carriedIn,
          rounding,
          planned,
          onHand: lot.onHand,
        });
  const fed = bales?.fed ?? (lot.laidShare === undefined ? need : need.times(decimalFromFloat(lot.laidShare, 9)));
  return {
    lotId: lot.lotId,
    lotName: lot.lotName,
    need,
    fed,
    needPounds: need.in('lb').toFixed(POUND_PLACES),
    fedPounds: fed.in('lb').toFixed(POUND_PLACES),
    dryMatterFedKg: fed.times(decimalFromFloat(lot.dryMatterPercent, 6)).dividedBy(decimal(100)).kilograms.toNumber(),
    bales,
    openBaleLastsDays: bales?.rounding === 'open-enough' ? lastingDays(lot.baleWeight, need) : null,
    carriedOut: bales?.carriedOut ?? Mass.zero,
  };
}
