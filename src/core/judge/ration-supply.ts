import { nrc2000EnergyFromTdn } from '../forage/energy-from-tdn.js';
import { isNitrateOfAnotherUnit } from '../forage/nitrate-unit.data.js';
import { NOTHING_ORGANIC } from '../feeds/feed-values.data.js';
import { NUTRIENTS } from '../nutrients/nutrients.data.js';
import {
  byCode,
  type Mineral,
  MINERALS,
  RATION_NUTRIENTS,
  type RationNutrient,
  TRACE_NUTRIENTS,
  type TraceNutrient,
} from '../nutrients/nutrients.js';
import { JUDGEMENT } from './judgement.data.js';
import { bacterialProtein, metabolizableProteinSupply } from '../requirements/protein.js';
import type { RequirementEdition } from '../requirements/requirement-set.js';
import type {
  CompositionValue,
  MissingReason,
  RationField,
  RationLayer,
  RationLot,
  RationPart,
  TestsThatDiffer,
} from '../ration/ration.js';

const TDN_EQUATION = 'NRC 2000: DE = 4.409·TDN, ME = 0.82·DE, NEm and NEg by the cubics of Garrett 1980';

const NOTHING_TO_SHARE = 'a share of nothing is nothing';

/** What a field is a part of, or is computed from: where there is none of that, there is none of it. */
const WHOLE_OF: Readonly<Partial<Record<RationField, RationField>>> = {
  ...Object.fromEntries(
    Object.values(NUTRIENTS).flatMap((nutrient): [RationField, RationField][] =>
      'ration' in nutrient && 'shareOf' in nutrient.ration
        ? [[nutrient.lab.field, NUTRIENTS[nutrient.ration.shareOf].lab.field]]
        : [],
    ),
  ),
  netEnergyMaintenanceMcalPerKg: 'totalDigestibleNutrientsPercent',
  netEnergyGainMcalPerKg: 'totalDigestibleNutrientsPercent',
};

const NO_FEED_VALUE = 'minerals and salt hold no protein, fiber, fat or energy; common practice, no source';

/**
 * Nitrate of a hay that can gather it, typed in a unit that it cannot be in, ppm; `null` where its test can be true. It
 * makes no hay safe, so it counts as none.
 */
export function nitrateOfAnotherUnit({ canGatherNitrate, composition }: RationLot): number | null {
  const stated = composition.nitrateNitrogenPpm;
  const most = Math.max(stated?.value ?? 0, stated?.atMost ?? 0);
  return canGatherNitrate && isNitrateOfAnotherUnit(most) ? most : null;
}

/**
 * The lot's value of a field; net energy is calculated from TDN where the lab and the book give none. What a
 * mineral by its nature does not have is 0 where its label tells nothing. Nitrate in another unit is none.
 */
export function valueOf({ lot, field }: { readonly lot: RationLot; readonly field: RationField }): CompositionValue {
  const isNoTest = field === 'nitrateNitrogenPpm' && nitrateOfAnotherUnit(lot) !== null;
  const stated = isNoTest ? undefined : lot.composition[field];
  if (stated !== undefined)
    return {
      value: stated.value,
      origin: stated.origin,
      source: stated.source ?? stated.origin,
      restsOnBookValue: stated.origin === 'book-value',
      ...(stated.atMost === undefined ? {} : { atMost: stated.atMost }),
      ...(stated.differ === undefined ? {} : { differ: stated.differ }),
    };
  // An unknown share of nothing is nothing.
  const whole = WHOLE_OF[field];
  const ofWhole = whole === undefined ? undefined : valueOf({ lot, field: whole });
  if (ofWhole?.value === 0 && (ofWhole.atMost ?? 0) === 0)
    return { ...ofWhole, origin: 'calculated', source: NOTHING_TO_SHARE };
  const tdn = lot.composition.totalDigestibleNutrientsPercent;
  if (tdn !== undefined && (field === 'netEnergyMaintenanceMcalPerKg' || field === 'netEnergyGainMcalPerKg')) {
    return {
      value: nrc2000EnergyFromTdn({ totalDigestibleNutrientsPercent: tdn.value })[field],
      origin: 'calculated',
      source: TDN_EQUATION,
      restsOnBookValue: tdn.origin === 'book-value',
    };
  }
  if (lot.feedGroup === 'mineral' && Object.hasOwn(NOTHING_ORGANIC, field))
    return { value: 0, origin: 'calculated', source: NO_FEED_VALUE, restsOnBookValue: false };
  return { value: null, reason: 'not-tested-and-no-book-value' };
}

/** The lowest or highest of a lot's tests where they contradict each other, else its value; `null` where unknown. */
export function endOf(
  asked: { readonly lot: RationLot; readonly field: RationField },
  end: keyof TestsThatDiffer,
): number | null {
  const content = valueOf(asked);
  return content.value === null ? null : (content.differ?.[end] ?? content.value);
}

/** The most that a lot may hold of a field, by a label or by the worst of its tests; `null` where nobody knows. */
export function mostOf(asked: { readonly lot: RationLot; readonly field: RationField }): number | null {
  const content = valueOf(asked);
  return content.value === null ? null : Math.max(content.value, content.atMost ?? 0);
}

/**
 * A sum over the lots; `atLeast` is what the lots with a known number give. Where a lot that lacks the number is a
 * small part of the ration (`JUDGEMENT.smallPartOfDryMatter`), it counts as zero: `value` is then a lower bound,
 * which `isAtLeast` says. Where it is more, `value` is `null`.
 */
export interface Supply {
  readonly value: number | null;
  /** True where `value` counts a lot without a known number as zero; `missingIn` names the lots. */
  readonly isAtLeast: boolean;
  readonly reason: MissingReason | null;
  /** Names of lots that lack it. */
  readonly missingIn: readonly string[];
  readonly atLeast: number;
  /** The most that the lots may contain where a label names it, else `atLeast`. Limits are checked against this. */
  readonly atMost: number;
  readonly bookValueLots: readonly string[];
}

/**
 * A sum over the lots with what is known of its bounds. An unknown part never hides what is known: too much is judged
 * by `perKgForTooMuch`, too little by `perKgForTooLittle` (`supply-bounds.ts`).
 */
export interface BoundedSupply extends Supply {
  /** `atLeast` by the lowest of each lot's tests, where they differ. Shortages that are a danger are checked by it. */
  readonly lowest: number;
  /** Dry matter of the lots that tell it, kg. */
  readonly knownOfKg: number;
  /**
   * Dry matter that a limit is held against, kg: a lot up to `JUDGEMENT.partThatThinsNothingOut` that does not tell it
   * is left out, so that what nobody tested thins nothing out. At least half of all.
   */
  readonly heldAgainstKg: number;
  /** With the lots that do not tell it at the high end of what is likely for their kind; infinite if none is known. */
  readonly couldReach: number;
}

/** What one animal eats of a lot in a day, in whichever layers it lies: part of what is offered. */
export interface EatenPart {
  readonly lot: RationLot;
  readonly asFedOfferedKg: number;
  readonly dryMatterOfferedKg: number;
  readonly dryMatterEatenKg: number;
  /** Of the dry matter of the ration, 0 to 1. */
  readonly shareOfDryMatter: number;
}

export interface RationSupply {
  readonly parts: readonly EatenPart[];
  readonly asFedOfferedKg: number;
  readonly dryMatterOfferedKg: number;
  readonly dryMatterKg: number;
  /** Mcal/d, and Mcal per kg of dry matter. */
  readonly netEnergyMaintenanceMcal: BoundedSupply;
  readonly netEnergyMaintenanceMcalPerKg: number | null;
  readonly netEnergyGainMcalPerKg: number | null;
  readonly totalDigestibleNutrientsKg: BoundedSupply;
  readonly totalDigestibleNutrientsPercent: number | null;
  readonly crudeProteinG: BoundedSupply;
  readonly degradableProteinG: BoundedSupply;
  readonly undegradedProteinG: BoundedSupply;
  readonly neutralDetergentFiberKg: BoundedSupply;
  readonly fatKg: BoundedSupply;
  /** g/d. */
  readonly minerals: Readonly<Record<Mineral, BoundedSupply>>;
  /** Trace minerals mg/d, vitamins IU/d. */
  readonly traces: Readonly<Record<TraceNutrient, BoundedSupply>>;
  readonly nitrateNitrogenG: BoundedSupply;
  readonly forageDryMatterKg: number;
  readonly longStemDryMatterKg: number;
  readonly longStemFiberKg: BoundedSupply;
  readonly strawDryMatterKg: number;
  readonly starchyGrainAsFedKg: number;
  /** `null` while the legume share of one forage is not known. */
  readonly legumeDryMatterKg: number | null;
  /** As far as known, kg of dry matter. */
  readonly legume: BoundedSupply;
  readonly nonProteinNitrogenG: number;
}

export function partsOf(layers: readonly RationLayer[]): readonly RationPart[] {
  return layers.flatMap((layer) => layer.lots);
}

/**
 * What a ration supplies to one animal in a day. Everything is a sum of amount × content over the lots, so it is
 * linear in the amounts; refused and wasted hay is taken off each lot alike. Of what is kept in front of the cattle the
 * amount is what they take, so nothing is taken off it.
 */
export function rationSupply({
  layers,
  wastedShare = 0,
  mostEatenKg = Infinity,
}: {
  readonly layers: readonly RationLayer[];
  readonly wastedShare?: number;
  /** Dry matter that the animal can hold: of a larger offer the rest of the forage is left over, of each lot alike. */
  readonly mostEatenKg?: number;
}): RationSupply {
  const offered = byLot(eatenOf(offeredOf(layers, wastedShare), mostEatenKg));
  const dryMatterKg = sum(offered.map((part) => part.dryMatterEatenKg));
  const parts: EatenPart[] = offered.map((part) => ({
    ...part,
    shareOfDryMatter: dryMatterKg === 0 ? 0 : part.dryMatterEatenKg / dryMatterKg,
  }));
  const perKg = (supply: Supply) => (supply.value === null || dryMatterKg === 0 ? null : supply.value / dryMatterKg);
  const nutrient = (of: readonly EatenPart[], code: RationNutrient) =>
    total(
      of,
      (lot) => amountPerKg(lot, code),
      (lot) => likelyMostPerKg(lot, code),
    );
  const sums = byCode(RATION_NUTRIENTS, (code) => nutrient(parts, code));
  const tdnPerKg = perKg(sums.totalDigestibleNutrients);
  const legumes = parts.filter((part) => part.lot.isForage && part.dryMatterEatenKg > 0);
  return {
    parts,
    asFedOfferedKg: sum(parts.map((part) => part.asFedOfferedKg)),
    dryMatterOfferedKg: sum(parts.map((part) => part.dryMatterOfferedKg)),
    dryMatterKg,
    netEnergyMaintenanceMcal: sums.netEnergyMaintenance,
    netEnergyMaintenanceMcalPerKg: perKg(sums.netEnergyMaintenance),
    netEnergyGainMcalPerKg: perKg(sums.netEnergyGain),
    totalDigestibleNutrientsKg: sums.totalDigestibleNutrients,
    totalDigestibleNutrientsPercent: tdnPerKg === null ? null : tdnPerKg * 100,
    crudeProteinG: sums.crudeProtein,
    degradableProteinG: sums.degradableProtein,
    undegradedProteinG: total(parts, (lot) => proteinPart(lot, (degradable) => 1 - degradable)),
    neutralDetergentFiberKg: sums.neutralDetergentFiber,
    fatKg: sums.fat,
    minerals: byCode(MINERALS, (mineral) => sums[mineral]),
    traces: byCode(TRACE_NUTRIENTS, (trace) => sums[trace]),
    nitrateNitrogenG: sums.nitrate,
    forageDryMatterKg: sum(parts.filter((part) => part.lot.isForage).map((part) => part.dryMatterEatenKg)),
    longStemDryMatterKg: sum(parts.filter((part) => part.lot.isLongStem).map((part) => part.dryMatterEatenKg)),
    longStemFiberKg: nutrient(
      parts.filter((part) => part.lot.isLongStem),
      'neutralDetergentFiber',
    ),
    strawDryMatterKg: sum(parts.filter((part) => part.lot.isStraw).map((part) => part.dryMatterEatenKg)),
    // Grain is eaten first and whole: what is wasted of the hay makes none of it safe.
    starchyGrainAsFedKg: sum(parts.filter((part) => part.lot.isStarchyGrain).map((part) => part.asFedOfferedKg)),
    legumeDryMatterKg: legumes.some((part) => part.lot.legumeShare === null)
      ? null
      : sum(legumes.map((part) => part.dryMatterEatenKg * (part.lot.legumeShare ?? 0))),
    legume: total(parts, legumeOf),
    nonProteinNitrogenG: sum(
      parts.map((part) => part.dryMatterEatenKg * (part.lot.nonProteinNitrogenPercent ?? 0) * 10),
    ),
  };
}

type Offered = Omit<EatenPart, 'shareOfDryMatter'> & { readonly freeChoice: boolean };

function offeredOf(layers: readonly RationLayer[], wastedShare: number): Offered[] {
  return partsOf(layers).map(({ lot, asFedKgPerHeadPerDay, freeChoice = false }) => {
    const dryMatterOfferedKg = (asFedKgPerHeadPerDay * lot.dryMatterPercent.value) / 100;
    return {
      lot,
      freeChoice,
      asFedOfferedKg: asFedKgPerHeadPerDay,
      dryMatterOfferedKg,
      dryMatterEatenKg: dryMatterOfferedKg * (freeChoice ? 1 : 1 - wastedShare),
    };
  });
}

/** What is kept in front of them is taken whole, and so are grain, cubes and mineral: what is left over is forage. */
function eatenOf(offered: readonly Offered[], mostEatenKg: number): readonly Offered[] {
  const kilograms = (of: readonly Offered[]) => sum(of.map((part) => part.dryMatterEatenKg));
  if (kilograms(offered) <= mostEatenKg) return offered;
  const leftOver = offered.some(isLeftOver) ? isLeftOver : ({ freeChoice }: Offered) => !freeChoice;
  const laidKg = kilograms(offered.filter(leftOver));
  const share = laidKg > 0 ? Math.max(0, mostEatenKg - (kilograms(offered) - laidKg)) / laidKg : 0;
  return offered.map((part) => (leftOver(part) ? { ...part, dryMatterEatenKg: part.dryMatterEatenKg * share } : part));
}

const isLeftOver = ({ freeChoice, lot }: Offered): boolean => !freeChoice && lot.isForage;

/** A lot that lies in several layers is one part of the ration: its share is what limits and cautions ask for. */
function byLot(parts: readonly Offered[]): Omit<EatenPart, 'shareOfDryMatter'>[] {
  const lots = new Map<string, Omit<EatenPart, 'shareOfDryMatter'>>();
  for (const part of parts) {
    const before = lots.get(part.lot.lotId);
    lots.set(
      part.lot.lotId,
      before === undefined
        ? part
        : {
            lot: part.lot,
            asFedOfferedKg: before.asFedOfferedKg + part.asFedOfferedKg,
            dryMatterOfferedKg: before.dryMatterOfferedKg + part.dryMatterOfferedKg,
            dryMatterEatenKg: before.dryMatterEatenKg + part.dryMatterEatenKg,
          },
    );
  }
  return [...lots.values()];
}

export interface MetabolizableProteinOfRation {
  readonly supply: Supply;
  readonly bacterialProteinG: number;
  readonly degradableProteinNeededG: number;
  readonly limitedBy: 'energy' | 'degradable-protein';
  readonly fromBacteriaG: number;
  readonly fromUndegradedG: number;
}

/**
 * Metabolizable protein of the ration: bacteria by the edition's equation, limited by degradable protein, and 80 % of
 * the undegraded protein. Source of the equations: `requirements/protein.ts`. `null` if TDN or a protein value is not
 * known; a lower bound where only a small part of the ration lacks them.
 */
export function metabolizableProteinOfRation({
  supply,
  edition,
}: {
  readonly supply: RationSupply;
  readonly edition: RequirementEdition;
}): MetabolizableProteinOfRation | null {
  const {
    degradableProteinG: degradable,
    undegradedProteinG: undegraded,
    totalDigestibleNutrientsPercent,
    dryMatterKg,
    fatKg,
  } = supply;
  if (
    degradable.value === null ||
    undegraded.value === null ||
    totalDigestibleNutrientsPercent === null ||
    dryMatterKg === 0
  )
    return null;
  const sums = [degradable, undegraded, supply.totalDigestibleNutrientsKg];
  const bacteria = bacterialProtein({
    edition,
    dryMatterIntakeKgPerDay: dryMatterKg,
    totalDigestibleNutrientsPercent,
    degradableProteinSupplyGPerDay: degradable.value,
    ...(fatKg.value === null ? {} : { fatPercent: (fatKg.value / dryMatterKg) * 100 }),
  });
  const { metabolizableProteinGPerDay, fromBacteriaGPerDay, fromUndegradedGPerDay } = metabolizableProteinSupply({
    bacterialProteinGPerDay: bacteria.bacterialProteinGPerDay,
    undegradedProteinGPerDay: undegraded.value,
  });
  return {
    supply: {
      value: metabolizableProteinGPerDay,
      isAtLeast: sums.some((one) => one.isAtLeast),
      reason: sums.find((one) => one.reason !== null)?.reason ?? null,
      missingIn: [...new Set(sums.flatMap((one) => one.missingIn))],
      atLeast: metabolizableProteinGPerDay,
      atMost: metabolizableProteinGPerDay,
      bookValueLots: union(sums),
    },
    bacterialProteinG: bacteria.bacterialProteinGPerDay,
    degradableProteinNeededG: bacteria.degradableProteinNeededGPerDay,
    limitedBy: bacteria.limitedBy,
    fromBacteriaG: fromBacteriaGPerDay,
    fromUndegradedG: fromUndegradedGPerDay,
  };
}

function union(supplies: readonly Supply[]): readonly string[] {
  return [...new Set(supplies.flatMap((supply) => supply.bookValueLots))];
}

function sum(values: readonly number[]): number {
  return values.reduce((before, value) => before + value, 0);
}

function scaled(value: CompositionValue, factor: number): CompositionValue {
  if (value.value === null) return value;
  return {
    ...value,
    value: value.value * factor,
    ...(value.atMost === undefined ? {} : { atMost: value.atMost * factor }),
    ...(value.differ === undefined
      ? {}
      : { differ: { least: value.differ.least * factor, most: value.differ.most * factor } }),
  };
}

/**
 * How much of a nutrient is in a kilogram of the lot's dry matter, in the unit that the ration's amount is summed in.
 */
function amountPerKg(lot: RationLot, code: RationNutrient): CompositionValue {
  const { lab, ration } = NUTRIENTS[code];
  return 'shareOf' in ration
    ? proteinPart(lot, (degradable) => degradable)
    : scaled(valueOf({ lot, field: lab.field }), ration.perKg);
}

/** Crude protein in a kilogram of dry matter, g, to which the degradable share applies. */
function proteinPart(lot: RationLot, partOf: (degradableShare: number) => number): CompositionValue {
  const protein = valueOf({ lot, field: 'crudeProteinPercent' });
  const share = valueOf({ lot, field: 'degradableProteinPercentOfCrudeProtein' });
  // Without protein nothing is degradable, whatever the share.
  if (protein.value === null || protein.value === 0) return protein;
  if (share.value === null) return share;
  return {
    value: protein.value * NUTRIENTS.crudeProtein.ration.perKg * partOf(share.value / 100),
    origin: 'calculated',
    source: 'crude protein × degradable share',
    restsOnBookValue: protein.restsOnBookValue || share.restsOnBookValue,
  };
}

/** Legume in a kilogram of dry matter; what is no forage holds none. */
function legumeOf({ isForage, legumeShare }: RationLot): CompositionValue {
  const value = isForage ? legumeShare : 0;
  if (value === null) return { value, reason: 'not-tested-and-no-book-value' };
  return { value, origin: 'calculated', source: 'legume share of the kind of hay', restsOnBookValue: false };
}

/** The most that is likely in a kilogram of dry matter of such a feed; `null` where its kind is not known. */
function likelyMostPerKg({ feedGroup }: RationLot, code: RationNutrient): number | null {
  const { lab, ration } = NUTRIENTS[code];
  if (feedGroup === undefined || !('perKg' in ration)) return null;
  return lab.limits[feedGroup].likely[1] * ration.perKg;
}

function total(
  parts: readonly EatenPart[],
  contentPerKg: (lot: RationLot) => CompositionValue,
  mostPerKg: (lot: RationLot) => number | null = () => null,
): BoundedSupply {
  let atLeast = 0;
  let atMost = 0;
  let lowest = 0;
  const missing: EatenPart[] = [];
  const bookValueLots: string[] = [];
  for (const part of parts) {
    const { lot, dryMatterEatenKg } = part;
    if (dryMatterEatenKg === 0) continue;
    const content = contentPerKg(lot);
    if (content.value === null) missing.push(part);
    else {
      atLeast += content.value * dryMatterEatenKg;
      lowest += (content.differ?.least ?? content.value) * dryMatterEatenKg;
      atMost += Math.max(content.value, content.atMost ?? 0) * dryMatterEatenKg;
      // Where a feed contains none of it, as salt contains no protein, no part of the sum rests on the book.
      if (content.value === 0) continue;
      if (content.restsOnBookValue || lot.dryMatterPercent.origin === 'book-value') bookValueLots.push(lot.lotName);
    }
  }
  const isMissing = missing.length > 0;
  const isAtLeast = isMissing && missing.every((part) => isUpTo(JUDGEMENT.smallPartOfDryMatter.value, part, missing));
  const kilograms = (of: readonly EatenPart[]) => sum(of.map((part) => part.dryMatterEatenKg));
  const all = kilograms(parts);
  const thinsNothingOut = missing.filter((part) => isUpTo(JUDGEMENT.partThatThinsNothingOut.value, part, missing));
  return {
    value: isMissing && !isAtLeast ? null : atLeast,
    isAtLeast,
    reason: isMissing ? 'a-lot-lacks-it' : null,
    missingIn: missing.map(({ lot }) => lot.lotName),
    atLeast,
    atMost,
    bookValueLots,
    lowest,
    knownOfKg: all - kilograms(missing),
    heldAgainstKg: Math.max(all - kilograms(thinsNothingOut), all / 2),
    couldReach: missing.reduce(
      (reached, { lot, dryMatterEatenKg }) => reached + (mostPerKg(lot) ?? Infinity) * dryMatterEatenKg,
      atMost,
    ),
  };
}

/**
 * Whether a part with the others of its kind of feed that lack the value too is no more than a share of the ration's
 * dry matter: one hay cut into small lots is no small part.
 */
function isUpTo(share: number, { lot }: EatenPart, missing: readonly EatenPart[]): boolean {
  const alike = missing.filter((one) =>
    lot.feedGroup === undefined ? one.lot.lotId === lot.lotId : one.lot.feedGroup === lot.feedGroup,
  );
  return sum(alike.map((part) => part.shareOfDryMatter)) <= share;
}
