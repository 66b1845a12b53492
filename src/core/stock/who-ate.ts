import type { CalendarDay } from '../time/calendar-day.js';
import { type DatedEntry, whatStands } from '../time/what-stands.js';
import { type Decimal, decimal, ZERO } from '../units/decimal.js';
import { Money } from '../units/money.js';

/** A movement of hay out of a lot or into it. */
export interface LotMovement extends DatedEntry {
  readonly lotId: string;
  /** Signed as the ledger is, in kilograms. */
  readonly kilograms: Decimal;
  /** The herd of a feeding. */
  readonly herdId: string | null;
  /** For hay that went into another lot: that lot. */
  readonly toLotId: string | null;
  /** Whether the cost of the hay left with it; a normal loss leaves its money to the rest. */
  readonly takesCost: boolean;
}

/** Hay of a lot that left the books, in kilograms; `herdId` null where it was sold, or lost at a cost. */
export interface HayGone {
  readonly herdId: string | null;
  readonly on: CalendarDay;
  readonly kilograms: Decimal;
}

/** A cost that became known after hay had left: how much of it, of which hay, and when. */
export interface LateVariance {
  readonly entryId: string;
  readonly on: CalendarDay;
  readonly amount: Money;
  readonly lotId: string;
  readonly hayKind: string;
  /** The day on which the hay of the bill came. */
  readonly receivedOn: CalendarDay;
  /** Where a record was taken back, or something was posted late in its place: the day of it; null for a new bill. */
  readonly putsRight: CalendarDay | null;
}

export interface SharedVariance extends LateVariance {
  /** By herd; null: hay that was sold, lost, or of which nobody knows. They add up to the amount, to the cent. */
  readonly shares: readonly { readonly herdId: string | null; readonly amount: Money }[];
  /** The hay that the shares follow. */
  readonly gone: readonly HayGone[];
}

/**
 * Shares a variance among the herds that ate of its lot, and what was sold or lost of it, by mass: from the day when
 * the hay of the bill came to the day of the bill, as it stands now. Hay that was moved into other lots is followed
 * there. Of a lot of which nothing had left (under an average, or first in, first out, the cost left with other hay of
 * its kind), the hay of the whole kind is taken. Shares to the cent by largest remainder. Common practice, no source.
 */
export function shareVariance(
  variance: LateVariance,
  movements: readonly LotMovement[],
  ofTheKind: readonly string[],
): SharedVariance {
  // What was reversed, at whatever time, nobody ate.
  const within = whatStands(movements).standing.filter(({ on }) => on >= variance.receivedOn && on <= variance.on);
  const ofLot = goneFrom(variance.lotId, decimal(1), within, new Set());
  const gone =
    ofLot.length > 0
      ? ofLot
      : ofTheKind.flatMap((lotId) => within.filter((one) => one.lotId === lotId).flatMap(leaves));
  const herds = [...new Set(gone.map(({ herdId }) => herdId))].sort(byId);
  const weights = herds.map((herdId) => sum(gone.filter((one) => one.herdId === herdId)));
  const amounts = herds.length === 0 ? [variance.amount] : variance.amount.sharedBy(weights);
  return {
    ...variance,
    gone,
    shares: (herds.length === 0 ? [null] : herds).map((herdId, index) => ({
      herdId,
      amount: amounts[index] ?? Money.zero(variance.amount.currency),
    })),
  };
}

/** The part of a herd's share that belongs to some of the hay it ate; exact, not rounded. */
export function shareWithin(
  { shares, gone }: SharedVariance,
  herdId: string,
  shareOf: (on: CalendarDay) => Decimal,
): Money | undefined {
  const own = shares.find((one) => one.herdId === herdId);
  const eaten = gone.filter((one) => one.herdId === herdId);
  const all = sum(eaten);
  if (own === undefined || all.isZero()) return undefined;
  const within = eaten.reduce((total, one) => total.plus(one.kilograms.times(shareOf(one.on))), ZERO);
  return own.amount.times(within.div(all));
}

/** What left a lot with its cost, and what was moved into other lots as far as it left those. */
function goneFrom(
  lotId: string,
  share: Decimal,
  movements: readonly LotMovement[],
  seen: ReadonlySet<string>,
): HayGone[] {
  if (seen.has(lotId)) return [];
  const own = movements.filter((one) => one.lotId === lotId);
  const passed = new Set([...seen, lotId]);
  return own.flatMap((one): HayGone[] => {
    if (one.toLotId === null) return leaves(one).map((gone) => ({ ...gone, kilograms: gone.kilograms.times(share) }));
    const [moved, there] = [one.kilograms.negated(), one.toLotId];
    const cameIn = movements
      .filter((other) => other.lotId === there && other.kilograms.isPositive())
      .reduce((total, other) => total.plus(other.kilograms), ZERO);
    if (cameIn.isZero()) return [];
    return goneFrom(there, share.times(moved.div(cameIn)), movements, passed);
  });
}

function leaves({ kilograms, takesCost, herdId, on, toLotId }: LotMovement): HayGone[] {
  return takesCost && toLotId === null && kilograms.isNegative() && !kilograms.isZero()
    ? [{ herdId, on, kilograms: kilograms.negated() }]
    : [];
}

function sum(gone: readonly HayGone[]): Decimal {
  return gone.reduce((total, one) => total.plus(one.kilograms), ZERO);
}

/** Herds in a fixed order; what went to none comes last. */
function byId(one: string | null, other: string | null): number {
  if (one === null || other === null) return one === other ? 0 : one === null ? 1 : -1;
  return one < other ? -1 : one > other ? 1 : 0;
}
