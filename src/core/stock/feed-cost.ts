import { monthOf, type CalendarDay } from '../time/calendar-day.js';
import { decimal, type Decimal } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import { Money, type Currency, type PricePerMass } from '../units/money.js';
import type { CostReplay } from './costing-replay.js';

export interface FeedCostRow {
  readonly herdId: string;
  readonly hayKind: string;
  readonly lotId: string;
  readonly placeId: string;
  readonly month: string;
  readonly fed: Mass;
  readonly cost: Money;
}

/**
 * What was fed and what it cost, by herd, hay kind, lot, place and month, over [from, until). Net of reversals; a
 * reversal counts in the month of its own day, so a closed month reads the same for ever.
 */
export function feedCostRows(replay: CostReplay, period: { from: CalendarDay; until: CalendarDay }): FeedCostRow[] {
  const rows = new Map<string, FeedCostRow>();
  for (const entry of replay.entries) {
    const [place] = entry.rows;
    if (entry.herdId === undefined || !place || entry.on < period.from || entry.on >= period.until) continue;
    const { lotId, placeId } = place;
    const key = JSON.stringify([entry.herdId, entry.hayKind, lotId, placeId, monthOf(entry.on)]);
    const so = rows.get(key);
    rows.set(key, {
      herdId: entry.herdId,
      hayKind: entry.hayKind,
      lotId,
      placeId,
      month: monthOf(entry.on),
      fed: (so?.fed ?? Mass.zero).minus(entry.massChange),
      cost: (so?.cost ?? Money.zero(replay.currency)).minus(entry.inventoryChange),
    });
  }
  return [...rows.values()];
}

/** Rows summed by one of their names, in the order in which each first appears. */
export function feedCostBy(
  rows: readonly FeedCostRow[],
  name: 'herdId' | 'hayKind' | 'lotId' | 'placeId' | 'month',
  currency: Currency,
): { readonly name: string; readonly fed: Mass; readonly cost: Money }[] {
  const names = [...new Set(rows.map((row) => row[name]))];
  return names.map((each) => {
    const own = rows.filter((row) => row[name] === each);
    return {
      name: each,
      fed: Mass.sum(own.map((row) => row.fed)),
      cost: Money.sum(
        own.map((row) => row.cost),
        currency,
      ),
    };
  });
}

export interface UnitFeedCost {
  readonly perHead: Money | null;
  readonly perHeadDay: Money | null;
  readonly perMassFed: PricePerMass | null;
  readonly perMassEaten: PricePerMass | null;
}

/**
 * A season's cost per average head, per head-day, per mass fed and per mass eaten; null where there is nothing to
 * divide by.
 */
export function unitFeedCost(input: {
  cost: Money;
  headDays: number | Decimal;
  days: number;
  fed: Mass;
  refused: Mass;
  wasted: Mass;
}): UnitFeedCost {
  const headDays = decimal(input.headDays);
  const eaten = input.fed.minus(input.refused).minus(input.wasted);
  return {
    perHead: headDays.gt(0) && input.days > 0 ? input.cost.times(input.days).dividedBy(headDays) : null,
    perHeadDay: headDays.gt(0) ? input.cost.dividedBy(headDays) : null,
    perMassFed: input.fed.isPositive() ? input.cost.per(input.fed) : null,
    perMassEaten: eaten.isPositive() ? input.cost.per(eaten) : null,
  };
}
