import { type Currency, Money } from '../units/money.js';
import type { Closeout } from './closeout.js';

/** A herd closed out over some days, and what reversals of these days change of earlier ones. */
export interface ClosedOut {
  readonly found: Pick<Closeout, 'costs' | 'cattle'>;
  readonly corrections: CloseoutTotals;
}

/** Money of closeouts, as an account of the days has it: with what is corrected in them. */
export interface CloseoutTotals {
  /** Hay and other feed. */
  readonly feed: Money;
  readonly yardage: Money;
  readonly otherCosts: Money;
  /** Laid out for cattle, less what they brought. */
  readonly cattle: Money;
}

/**
 * The closeouts of all herds over the same days together: what an account of these days has of feed, yardage, other
 * costs and cattle. A move is money of both its herds, and of nobody in the sum.
 */
export function closeoutTotals(herds: readonly ClosedOut[], currency: Currency): CloseoutTotals {
  const sum = (of: (one: ClosedOut) => readonly Money[]): Money => Money.sum(herds.flatMap(of), currency);
  return {
    feed: sum(({ found, corrections }) => [found.costs.feed, corrections.feed]),
    yardage: sum(({ found, corrections }) => [found.costs.yardage, corrections.yardage]),
    otherCosts: sum(({ found, corrections }) => [
      ...found.costs.herdCosts.map(({ amount }) => amount),
      corrections.otherCosts,
    ]),
    cattle: sum(({ found, corrections }) => [found.cattle.netLaidOut, corrections.cattle]),
  };
}
