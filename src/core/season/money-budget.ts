import type { Decimal } from '../units/decimal.js';
import { type Currency, Money } from '../units/money.js';

/**
 * The lines that a money budget has: those of season cost, other costs of herds, and cattle at their money. On the last
 * one more than planned is good; on the others, less.
 */
export const BUDGET_LINES = [
  'hay',
  'other-feed',
  'yardage',
  'herd-costs',
  'late-costs',
  'cattle-bought',
  'cattle-sold',
] as const;
export type BudgetLine = (typeof BUDGET_LINES)[number];

/** Money of one line, herd and month, planned or as it came. */
export interface BudgetAmount {
  readonly month: string;
  readonly herdId: string;
  readonly line: BudgetLine;
  readonly amount: Money;
}

export interface BudgetRow {
  readonly month: string;
  readonly herdId: string;
  readonly line: BudgetLine;
  /** Null where nothing was planned. */
  readonly budget: Money | null;
  readonly actual: Money;
  /** The part of it that came without a plan, and is held against none. */
  readonly unplanned: Money;
  /** Actual less what came without a plan, less budget; null where nothing was planned. */
  readonly variance: Money | null;
  /** The variance over the budget, in percent; null where that is nothing. */
  readonly variancePercent: Decimal | null;
  /** Whether the variance is to the good: costs below, or cattle sold above what was planned. */
  readonly favorable: boolean | null;
}

/**
 * Holds actual money against what was planned, by month, herd and line, in that order: a row for every plan and for
 * everything that came without one. Variance: actual less budget, and its share of the budget (common practice, no
 * source).
 */
export function budgetAgainstActual(
  budget: readonly BudgetAmount[],
  actual: readonly BudgetAmount[],
  currency: Currency,
): BudgetRow[] {
  const keyOf = ({ month, herdId, line }: Pick<BudgetAmount, 'month' | 'herdId' | 'line'>): string =>
    `${month} ${herdId} ${BUDGET_LINES.indexOf(line)}`;
  const [planned, came] = [new Map<string, Money>(), new Map<string, Money>()];
  const places = new Map<string, Pick<BudgetAmount, 'month' | 'herdId' | 'line'>>();
  for (const [amounts, sums] of [
    [budget, planned],
    [actual, came],
  ] as const)
    for (const one of amounts) {
      const key = keyOf(one);
      places.set(key, { month: one.month, herdId: one.herdId, line: one.line });
      sums.set(key, (sums.get(key) ?? Money.zero(currency)).plus(one.amount));
    }
  return [...places]
    .sort(([one], [other]) => (one < other ? -1 : one > other ? 1 : 0))
    .map(([key, place]) => ({
      ...place,
      ...heldAgainst(place.line, planned.get(key) ?? null, came.get(key) ?? Money.zero(currency)),
    }))
    .filter(({ budget: plan, actual: amount }) => plan !== null || !amount.isZero());
}

export type Held = Pick<BudgetRow, 'budget' | 'actual' | 'unplanned' | 'variance' | 'variancePercent' | 'favorable'>;

/**
 * One amount against its plan.
 * @param unplanned the part of it that has none; without a plan, all of it
 */
export function heldAgainst(
  line: BudgetLine,
  budget: Money | null,
  actual: Money,
  unplanned = Money.zero(actual.currency),
): Held {
  if (budget === null)
    return { budget, actual, unplanned: actual, variance: null, variancePercent: null, favorable: null };
  const variance = actual.minus(unplanned).minus(budget);
  const good = line === 'cattle-sold' ? !variance.isNegative() : variance.isNegative() || variance.isZero();
  return {
    budget,
    actual,
    unplanned,
    variance,
    variancePercent: budget.isZero() ? null : variance.amount.times(100).div(budget.amount.abs()),
    favorable: good,
  };
}

/**
 * Rows of one line, or of all costs, together: what was planned is held against what came of it, and what came without
 * a plan is told apart, so that each figure is the sum of those of the rows. Null where nothing was planned.
 * @param line the line, or any of the costs
 */
export function summedRows(line: BudgetLine, rows: readonly BudgetRow[], currency: Currency): Held {
  const planned = rows.flatMap(({ budget }) => budget ?? []);
  return heldAgainst(
    line,
    planned.length === 0 ? null : Money.sum(planned, currency),
    Money.sum(
      rows.map(({ actual }) => actual),
      currency,
    ),
    Money.sum(
      rows.map(({ unplanned }) => unplanned),
      currency,
    ),
  );
}

/** Rows of all costs together: every line but those of cattle. */
export function summedCosts(rows: readonly BudgetRow[], currency: Currency): Held {
  return summedRows(
    'hay',
    rows.filter(({ line }) => !isCattle(line)),
    currency,
  );
}

function isCattle(line: BudgetLine): boolean {
  return line === 'cattle-bought' || line === 'cattle-sold';
}

/** Amounts by line, in the order of the lines; what comes to nothing is left out. */
export function byLine(
  amounts: readonly BudgetAmount[],
  currency: Currency,
): { readonly line: BudgetLine; readonly amount: Money }[] {
  return BUDGET_LINES.map((line) => ({
    line,
    amount: Money.sum(
      amounts.filter((one) => one.line === line).map(({ amount }) => amount),
      currency,
    ),
  })).filter(({ amount }) => !amount.isZero());
}
