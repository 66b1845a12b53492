import type { CattleChange } from '../closeout/closeout.js';
import {
  cattleChanges,
  type CattlePaid,
  type HeadEntry,
  type HerdCostOn,
  type PricedChange,
} from '../closeout/herd-account.js';
import { isOtherFeed } from '../feeds/other-feeds.data.js';
import { type CalendarDay, monthOf } from '../time/calendar-day.js';
import { whatStands } from '../time/what-stands.js';
import type { BudgetAmount, BudgetLine } from './money-budget.js';
import type { CostApart, FedLine, HerdMonth } from './season-cost.js';

/** What the books tell of some months: season cost before it is added up, other costs, and cattle at their money. */
export interface MonthsOfBooks {
  readonly fed: readonly FedLine[];
  readonly herdMonths: readonly HerdMonth[];
  /** Late costs and corrections of earlier days. */
  readonly apart: readonly CostApart[];
  /** As they were entered, with their reversals. */
  readonly costs: readonly (HerdCostOn & { readonly herdId: string })[];
  readonly head: readonly HeadEntry[];
  readonly paid: ReadonlyMap<string, CattlePaid>;
}

/**
 * The lines of a money budget as they came on some days, by month and herd: late bills in the month in which they came.
 * What reversals of these days change of earlier ones is in none of them, and told apart.
 */
export function actualMoney(
  { fed, herdMonths, apart, ...books }: MonthsOfBooks,
  span: { readonly from: CalendarDay; readonly until: CalendarDay },
): { amounts: BudgetAmount[]; corrections: BudgetAmount[] } {
  const costs = whatStands(books.costs, span);
  const head = whatStands(books.head, span);
  const takenBack = head.corrections.map(({ reversed, reversal }) => ({ ...reversed, on: reversal.on }));
  const inPlace = head.inPlace.map(({ entry, postedOn }) => ({ ...entry, on: postedOn }));
  return {
    amounts: [
      ...fed.map(({ month, herdId, feed, cost }): BudgetAmount => ({
        month,
        herdId,
        line: feed === 'other' ? 'other-feed' : 'hay',
        amount: cost,
      })),
      ...herdMonths.map(({ month, herdId, yardage }): BudgetAmount => ({
        month,
        herdId,
        line: 'yardage',
        amount: yardage,
      })),
      ...apart
        .filter(({ what }) => what === 'late-cost')
        .map(({ month, herdId, amount }): BudgetAmount => ({ month, herdId, line: 'late-costs', amount })),
      ...costs.standing
        .filter(({ on, reversesId }) => reversesId === null && on >= span.from && on <= span.until)
        .map(({ on, herdId, amount }): BudgetAmount => ({ month: monthOf(on), herdId, line: 'herd-costs', amount })),
      ...cattleAmounts(cattleChanges(head.standing, books.paid, span)),
    ],
    corrections: [
      ...apart
        .filter(({ what }) => what === 'correction')
        .map(({ month, herdId, hayKind, amount }): BudgetAmount => ({
          month,
          herdId,
          line: hayKind === null ? 'yardage' : isOtherFeed(hayKind) ? 'other-feed' : 'hay',
          amount,
        })),
      ...costs.corrections.map(({ reversed, reversal }): BudgetAmount => ({
        month: monthOf(reversal.on),
        herdId: reversed.herdId,
        line: 'herd-costs',
        amount: reversed.amount.negated(),
      })),
      ...costs.inPlace.map(({ entry, postedOn }): BudgetAmount => ({
        month: monthOf(postedOn),
        herdId: entry.herdId,
        line: 'herd-costs',
        amount: entry.amount,
      })),
      ...cattleAmounts(cattleChanges(takenBack, books.paid, span)).map((one) => ({
        ...one,
        amount: one.amount.negated(),
      })),
      ...cattleAmounts(cattleChanges(inPlace, books.paid, span)),
    ],
  };
}

function cattleAmounts(changes: readonly PricedChange[]): BudgetAmount[] {
  return changes.flatMap(({ on, herdId, kind, worth, how }): BudgetAmount[] => {
    const line = cattleLine(kind);
    return worth === null || how === 'valued' || line === undefined
      ? []
      : [{ month: monthOf(on), herdId, line, amount: worth }];
  });
}

/** Cattle that were paid for; a value that was stated is no money, and a move is paid by nobody. */
function cattleLine(kind: CattleChange['kind']): BudgetLine | undefined {
  if (kind === 'in') return 'cattle-bought';
  return kind === 'sale' || kind === 'out' || kind === 'death' ? 'cattle-sold' : undefined;
}
