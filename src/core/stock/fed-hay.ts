import type { CalendarDay } from '../time/calendar-day.js';
import { type AccountSpan, fateOf, putsEarlierRight, type Reversed } from '../time/what-stands.js';
import { Mass } from '../units/mass.js';
import { Money } from '../units/money.js';

/** Hay of one kind that a herd was fed, at its cost in the books; summed over a day or a month, `on` its first day. */
export interface FedSum {
  readonly herdId: string;
  readonly hayKind: string;
  readonly on: CalendarDay;
  readonly mass: Mass;
  readonly cost: Money;
}

/** A feeding that was reversed: what it took out of the stack, and its reversal gave back at the same cost. */
export interface ReversedFeed extends Reversed {
  readonly herdId: string;
  readonly hayKind: string;
  readonly mass: Mass;
  readonly cost: Money;
}

/** A feeding that was posted late in place of another; `of` is the day that was given for it. */
export interface FedInPlace extends FedSum {
  readonly of: CalendarDay;
}

/**
 * What was fed by the rule of `fateOf`, from sums in which a feeding and its reversal each count on their own day.
 *
 * @param fed sums of the entries of some days; those days begin with `summedFrom` and end with `span.until` or later
 * @param sumOf the day under which an entry of a day is summed
 * @param inPlace of these days, those that stand at their end
 * @returns the sums that stand, without those of which nothing is left; and what corrects days before `span.from`:
 * reversals with what they take back (positive), and feedings in their place (negative).
 */
export function fedThatStands(
  {
    fed,
    reversed,
    inPlace = [],
  }: {
    readonly fed: readonly FedSum[];
    readonly reversed: readonly ReversedFeed[];
    readonly inPlace?: readonly FedInPlace[];
  },
  { summedFrom, sumOf, ...span }: AccountSpan & { summedFrom: CalendarDay; sumOf: (on: CalendarDay) => CalendarDay },
): { fed: FedSum[]; corrections: ReversedFeed[] } {
  const keyOf = (one: Pick<FedSum, 'herdId' | 'hayKind' | 'on'>): string => `${one.on} ${one.herdId} ${one.hayKind}`;
  const sums = new Map(fed.map((one) => [keyOf(one), one]));
  const corrections: ReversedFeed[] = [];
  const take = (one: ReversedFeed, day: CalendarDay, sign: 1 | -1): void => {
    if (day < summedFrom) return;
    const at = { herdId: one.herdId, hayKind: one.hayKind, on: sumOf(day) };
    const sum = sums.get(keyOf(at)) ?? { ...at, mass: Mass.zero, cost: Money.zero(one.cost.currency) };
    const [mass, cost] = [one.mass.times(sign), one.cost.times(sign)];
    sums.set(keyOf(at), { ...sum, mass: sum.mass.minus(mass), cost: sum.cost.minus(cost) });
  };
  for (const one of reversed) {
    const fate = fateOf(one, span);
    if (fate === 'stands') continue;
    take(one, one.reversedOn, 1);
    take(one, one.reversalOn, -1);
    if (fate === 'correction') corrections.push(one);
  }
  for (const { herdId, hayKind, on, of, mass, cost } of inPlace) {
    if (!putsEarlierRight(of, span)) continue;
    const less = { herdId, hayKind, reversedOn: of, reversalOn: on, mass: mass.negated(), cost: cost.negated() };
    take(less, on, -1);
    corrections.push(less);
  }
  return { fed: [...sums.values()].filter(({ mass, cost }) => !mass.isZero() || !cost.isZero()), corrections };
}
