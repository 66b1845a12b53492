import { type CalendarDay, compareDays } from '../time/calendar-day.js';
import { type DatedEntry, whatStands } from '../time/what-stands.js';
import { type Decimal, decimal, ZERO } from '../units/decimal.js';
import { type Currency, Money } from '../units/money.js';

/** Head that came (above zero) or went, with what was paid for them; null where nothing was. */
export interface HeadPaid extends DatedEntry {
  readonly herdId: string;
  readonly kind: string;
  readonly head: number;
  /** Ties the two sides of a move together. */
  readonly moveId: string | null;
  readonly paid: Money | null;
}

interface Herd {
  head: Decimal;
  bought: Decimal;
  cost: Money;
}

/**
 * Cattle that were bought and still stand at the end of a day, and what they cost: by herd at the mean cost of the
 * bought head in it. Of what leaves a herd, bought head are as large a part as they are of the herd, and take their
 * mean cost along, into another herd where they move. Common practice, no source. That market cattle bought for resale
 * are inventory until they are sold: 26 CFR 1.61-4(a) and 1.471-6(a).
 *
 * @returns head to the whole, money to the cent
 */
export function boughtOnHand(
  entries: readonly HeadPaid[],
  until: CalendarDay,
  currency: Currency,
): { readonly head: number; readonly cost: Money } {
  const herds = new Map<string, Herd>();
  const herdOf = (id: string): Herd => {
    const known = herds.get(id) ?? { head: ZERO, bought: ZERO, cost: Money.zero(currency) };
    herds.set(id, known);
    return known;
  };
  const standing = whatStands(entries, { until }).standing.filter(
    ({ on, reversesId }) => reversesId === null && compareDays(on, until) <= 0,
  );
  const arrivals = new Map(
    standing.flatMap((one) => (one.kind === 'move-in' && one.moveId !== null ? [[one.moveId, one] as const] : [])),
  );
  for (const one of standing.toSorted(byDay)) {
    const herd = herdOf(one.herdId);
    if (one.kind === 'move-in') continue;
    if (one.head > 0) {
      herd.head = herd.head.plus(one.head);
      if (one.paid === null) continue;
      herd.bought = herd.bought.plus(one.head);
      herd.cost = herd.cost.plus(one.paid);
      continue;
    }
    const gone = taken(herd, decimal(one.head).abs());
    const arrival = one.moveId === null ? undefined : arrivals.get(one.moveId);
    if (arrival === undefined) continue;
    const there = herdOf(arrival.herdId);
    there.head = there.head.plus(arrival.head);
    there.bought = there.bought.plus(gone.bought);
    there.cost = there.cost.plus(gone.cost);
  }
  const all = [...herds.values()];
  return {
    head: all
      .reduce((sum, { bought }) => sum.plus(bought), ZERO)
      .toDecimalPlaces(0)
      .toNumber(),
    cost: Money.sum(
      all.map(({ cost }) => cost),
      currency,
    ).rounded(),
  };
}

/** Takes head out of a herd, with their part of what was bought. */
function taken(herd: Herd, head: Decimal): Omit<Herd, 'head'> {
  const all = head.gte(herd.head);
  const gone = all
    ? { bought: herd.bought, cost: herd.cost }
    : { bought: herd.bought.times(head).div(herd.head), cost: herd.cost.portion(head, herd.head) };
  herd.head = all ? ZERO : herd.head.minus(head);
  herd.bought = herd.bought.minus(gone.bought);
  herd.cost = herd.cost.minus(gone.cost);
  return gone;
}

/** On one day, cattle come, then they move, then they leave. */
function byDay(one: HeadPaid, other: HeadPaid): number {
  return compareDays(one.on, other.on) || rank(one) - rank(other);
}

function rank({ kind, head }: HeadPaid): number {
  if (kind === 'move-out' || kind === 'move-in') return 1;
  return head > 0 ? 0 : 2;
}
