import { alongShare, dailyShare } from '../laying/bale-day-ways.js';
import type { PartOfDay } from './fed-before.js';

/** A lot as the ration in use says, for one head, where it is laid in whole bales. */
export interface PlannedPart extends PartOfDay {
  readonly isForage: boolean;
  /** Kept in front of the cattle and not laid. */
  readonly freeChoice: boolean;
  /** A bale shared out over the herd; `null` where the lot is weighed out. */
  readonly baleKg: number | null;
}

/** How many bales a lot stands ahead of its need, as far as that is known; below zero where it is behind. */
export interface Ahead {
  readonly least: number;
  readonly most: number;
}

/** The ration in use on a day that lays it in whole bales, and how each lot stands in the morning. */
export interface PlannedDay {
  readonly parts: readonly PlannedPart[];
  readonly ahead: ReadonlyMap<string, Ahead>;
}

interface OfALot {
  readonly part: PlannedPart;
  readonly laidKg: number;
  readonly plannedKg: number;
  readonly ahead: Ahead;
}

/** Rounding keeps every lot within a bale of its need, as a plan in whole bales does. */
export const WITHIN_A_BALE: Ahead = { least: -1, most: 1 };

/** Parts of a bale that do not count: weights are entered in whole pounds. */
const TOO_LITTLE_TO_COUNT = 0.01;

/**
 * What is laid on a day, as the ration in use says, where the day differs from it by rounding to whole bales: each
 * baled lot stands within a bale of its need in the evening, and there is no other lot. Cubes and mineral are laid
 * every day, grain to the hay in front of the cattle; more or less of them than that stays so. `null` where the day
 * departs from the ration.
 */
export function evenedOut(laid: readonly PartOfDay[], planned: PlannedDay): PartOfDay[] | null {
  const { parts } = planned;
  if (laid.some(({ lotId, asFedKg }) => asFedKg > 0 && !parts.some((part) => part.lotId === lotId))) return null;
  const lots = lotsOf(laid, planned);
  if (lots.some((one) => one.part.baleKg !== null && eveningOf(one) === null)) return null;
  const least = hayInFront(lots, (ahead) => ahead.least);
  return lots.map((one) => ({ ...one.part, asFedKg: evenedKg(one, least) }));
}

/**
 * What a head eats of each lot on such a day: of baled hay a day's need, of what was laid first and then of what lies
 * from the days before, as far as any can; all else as it was laid. `null` where the day departs from the ration, or
 * where all of the ration is in bales and eaten as it was laid.
 */
export function eatenOfDay(laid: readonly PartOfDay[], planned: PlannedDay): Map<string, number> | null {
  if (planned.parts.every(({ baleKg }) => baleKg !== null) || evenedOut(laid, planned) === null) return null;
  const lots = lotsOf(laid, planned);
  const isHay = ({ part }: OfALot): boolean => part.isForage && !part.freeChoice;
  const sum = (of: readonly OfALot[], kilograms: (one: OfALot) => number): number =>
    of.reduce((all, one) => all + kilograms(one), 0);
  const [baled, loose] = [
    lots.filter((one) => isHay(one) && one.part.baleKg !== null),
    lots.filter((one) => isHay(one) && one.part.baleKg === null),
  ];
  const needKg = sum(baled, ({ plannedKg }) => plannedKg);
  const looseKg = sum(loose, ({ laidKg }) => laidKg);
  const inFrontKg = hayInFront(lots, (ahead) => ahead.most) * (needKg + sum(loose, ({ plannedKg }) => plannedKg));
  const eatenKg = Math.min(needKg, Math.max(0, inFrontKg - looseKg));
  const baledKg = sum(baled, ({ laidKg }) => laidKg);
  return new Map(
    lots.map((one) => {
      const { part, laidKg, plannedKg } = one;
      if (!isHay(one) || part.baleKg === null) return [part.lotId, laidKg];
      if (baledKg > eatenKg) return [part.lotId, (laidKg * eatenKg) / baledKg];
      return [part.lotId, laidKg + ((eatenKg - baledKg) * plannedKg) / needKg];
    }),
  );
}

/** Of a day's hay, what is in front of the cattle: laid on the day or left from the days before; at most 1. */
function hayInFront(lots: readonly OfALot[], balesAhead: (ahead: Ahead) => number): number {
  const hay = lots.filter(({ part }) => part.isForage && !part.freeChoice);
  const sum = (kilograms: (of: OfALot) => number): number => hay.reduce((all, one) => all + kilograms(one), 0);
  const inFrontKg = sum(({ laidKg, ahead, part }) => laidKg + balesAhead(ahead) * (part.baleKg ?? 0));
  return alongShare(Math.max(0, inFrontKg), { hayKg: sum(({ plannedKg }) => plannedKg) });
}

/** How each baled lot stands in the evening; after a day of which nothing was entered, as far as can be said. */
export function aheadAfter(laid: readonly PartOfDay[] | null, planned: PlannedDay): Map<string, Ahead> {
  return new Map(
    lotsOf(laid ?? [], planned)
      .filter(({ part }) => part.baleKg !== null)
      .map((one) => {
        // What departs from the ration is not made good: the lot stands a bale from its need at most.
        const evening = eveningOf(one) ?? atMost(Math.sign(balesOver(one)));
        // Where nothing was entered none may have been laid, or any bales.
        return [one.part.lotId, laid === null ? { ...evening, most: WITHIN_A_BALE.most } : evening] as const;
      }),
  );
}

function lotsOf(laid: readonly PartOfDay[], { parts, ahead }: PlannedDay): OfALot[] {
  return [...new Map(parts.map((part) => [part.lotId, part])).values()].map((part) => ({
    part,
    laidKg: kilogramsOf(laid, part.lotId),
    plannedKg: kilogramsOf(parts, part.lotId),
    ahead: ahead.get(part.lotId) ?? WITHIN_A_BALE,
  }));
}

const balesOver = ({ part: { baleKg }, laidKg, plannedKg }: OfALot): number => (laidKg - plannedKg) / (baleKg ?? 1);

const atMost = (bales: number): Ahead => ({ least: bales, most: bales });

/** `null` where the lot cannot be within a bale of its need any more. */
function eveningOf(one: OfALot): Ahead | null {
  const over = balesOver(one);
  const [least, most] = [one.ahead.least + over, one.ahead.most + over];
  if (least > WITHIN_A_BALE.most + TOO_LITTLE_TO_COUNT || most < WITHIN_A_BALE.least - TOO_LITTLE_TO_COUNT) return null;
  return {
    least: Math.min(Math.max(least, WITHIN_A_BALE.least), WITHIN_A_BALE.most),
    most: Math.max(Math.min(most, WITHIN_A_BALE.most), WITHIN_A_BALE.least),
  };
}

function evenedKg({ part, laidKg, plannedKg }: OfALot, hayShare: number): number {
  if (part.baleKg !== null) return plannedKg;
  if (part.isForage || part.freeChoice || laidKg > plannedKg) return laidKg;
  const along = dailyShare(hayShare, { isGrain: part.isStarchyGrain });
  return laidKg >= plannedKg * along ? plannedKg : laidKg / along;
}

function kilogramsOf(parts: readonly PartOfDay[], lotId: string): number {
  return parts.filter((part) => part.lotId === lotId).reduce((sum, { asFedKg }) => sum + asFedKg, 0);
}
