import { type Currency, Money } from '../units/money.js';
import type { BudgetAmount } from './money-budget.js';

/** Lines of a roll-up over operations: season cost, other costs, cattle, and what hay and feed on hand are worth. */
export const ROLL_UP_LINES = [
  'hay',
  'other-feed',
  'yardage',
  'herd-costs',
  'late-costs',
  'cattle-bought',
  'cattle-sold',
  'feed-on-hand',
] as const;
export type RollUpLine = (typeof ROLL_UP_LINES)[number];

/** The books of one operation, by line, in its own currency. */
export interface OperationLines {
  readonly operationId: string;
  readonly currency: Currency;
  readonly lines: Readonly<Record<RollUpLine, Money>>;
}

/** Sums of all operations with one currency. */
export interface CurrencySum {
  readonly currency: Currency;
  readonly operationIds: readonly string[];
  readonly lines: Readonly<Record<RollUpLine, Money>>;
}

/**
 * Sums over operations, apart for each currency: there is no exchange rate in these books, so amounts in two
 * currencies stand side by side and are never added.
 */
export function rollUp(operations: readonly OperationLines[]): CurrencySum[] {
  const currencies = [...new Set(operations.map(({ currency }) => currency))].sort();
  return currencies.map((currency) => {
    const own = operations.filter((one) => one.currency === currency);
    return {
      currency,
      operationIds: own.map(({ operationId }) => operationId),
      lines: linesOf((line) =>
        Money.sum(
          own.map(({ lines }) => lines[line]),
          currency,
        ),
      ),
    };
  });
}

/** The books of one operation by line: what came on its days, and what hay and feed on hand are worth at their end. */
export function linesOfBooks(
  amounts: readonly BudgetAmount[],
  onHand: Money,
  currency: Currency,
): Record<RollUpLine, Money> {
  return linesOf((line) =>
    line === 'feed-on-hand'
      ? onHand
      : Money.sum(
          amounts.filter((one) => one.line === line).map(({ amount }) => amount),
          currency,
        ),
  );
}

/** One amount for each line. */
export function linesOf(amount: (line: RollUpLine) => Money): Record<RollUpLine, Money> {
  return Object.fromEntries(ROLL_UP_LINES.map((line) => [line, amount(line)])) as Record<RollUpLine, Money>;
}
