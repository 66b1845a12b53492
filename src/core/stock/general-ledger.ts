import { addDays, daysInMonth, monthOf } from '../time/calendar-day.js';
import { type Currency, Money } from '../units/money.js';
import type { AccountRole } from './accounts.data.js';
import { type JournalLine, sidesOf } from './journal.js';
import type { SharedVariance } from './who-ate.js';

/** How finely a general ledger is told. */
export const LEDGER_DETAILS = ['entry', 'day', 'month', 'period'] as const;
export type LedgerDetail = (typeof LEDGER_DETAILS)[number];

/** What a line of a general ledger is summed by. */
export interface LedgerAmount {
  readonly on: string;
  readonly account: AccountRole;
  readonly accountNumber: string;
  readonly accountName: string;
  /** The part of the business that the amount is of: the hay, or a class of cattle. */
  readonly enterprise: string;
  readonly debit: Money;
  readonly credit: Money;
}

/**
 * The line of a variance in its parts: each herd's, by who ate of the hay, and what no herd ate. They add up to the
 * line; any other line is its own only part.
 */
export function partsByHerd(line: JournalLine, variance: SharedVariance | undefined): JournalLine[] {
  if (line.account !== 'purchase-price-variance' || variance === undefined) return [line];
  return variance.shares
    .filter(({ amount }) => !amount.isZero())
    .map(({ herdId, amount }) => ({ ...line, ...sidesOf(amount), ...(herdId === null ? {} : { herdId }) }));
}

/** Sums of some lines. */
export interface LedgerSum extends LedgerAmount {
  /** How many lines went in. */
  readonly lines: number;
}

/**
 * The lines of a general ledger by day, by month or over all of its days, account and enterprise, each at its net side;
 * what comes to nothing is left out. A month stands under its last day, or the last day asked for, and so does the sum
 * of all. Each day or month balances as its entries do.
 */
export function summarised(
  lines: readonly LedgerAmount[],
  by: Exclude<LedgerDetail, 'entry'>,
  until: string,
  currency: Currency,
): LedgerSum[] {
  const none = Money.zero(currency);
  const sums = new Map<string, { first: LedgerAmount; on: string; net: Money; lines: number }>();
  for (const line of lines) {
    const on = by === 'period' ? until : by === 'day' ? line.on : endOfMonth(line.on, until);
    const key = JSON.stringify([on, line.accountNumber, line.enterprise]);
    const known = sums.get(key) ?? { first: line, on, net: none, lines: 0 };
    sums.set(key, { ...known, net: known.net.plus(line.debit).minus(line.credit), lines: known.lines + 1 });
  }
  return [...sums.entries()]
    .filter(([, { net }]) => !net.isZero())
    .sort(([one], [other]) => (one < other ? -1 : 1))
    .map(([, { first, on, net, lines: count }]) => ({
      ...first,
      on,
      ...sidesOf(net),
      lines: count,
    }));
}

function endOfMonth(day: string, until: string): string {
  const [year, month] = day.split('-').map(Number);
  const last = addDays(`${monthOf(day)}-01`, daysInMonth(year ?? 0, month ?? 1) - 1);
  return last < until ? last : until;
}
