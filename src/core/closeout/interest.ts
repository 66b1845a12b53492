import { compareDays, daysBetween, type CalendarDay } from '../time/calendar-day.js';
import type { Decimal } from '../units/decimal.js';
import { type Currency, Money } from '../units/money.js';

/** Days of a year that a yearly rate is divided by. */
export const INTEREST_DAY_BASES = [365, 360] as const;
/**
 * How feed and other costs bear interest: for half of the time (as if they came evenly), each from its own day, or not
 * at all. Half the time is common practice: a published table of breakeven prices that goes by it is held against this
 * in `test/core/closeout`.
 */
export const INTEREST_ON_COSTS = ['half-time', 'from-their-day', 'none'] as const;

export interface InterestTerms {
  /** A share a year: 0.095 is 9.5 %. Simple, without compounding. */
  readonly yearlyRate: Decimal;
  readonly dayBasis: (typeof INTEREST_DAY_BASES)[number];
  readonly onCattle: boolean;
  readonly onCosts: (typeof INTEREST_ON_COSTS)[number];
}

/** Money on a day: laid out above zero, received below. */
export interface DatedMoney {
  readonly on: CalendarDay;
  readonly amount: Money;
}

export interface CloseoutInterest {
  readonly onCattle: Money;
  readonly onCosts: Money;
  /** Days between the first cattle and the last. */
  readonly days: number;
}

/**
 * Simple interest on cattle and their keep, to the cent. Cattle: what they cost, from the day they came until
 * `end`; what they brought pays it down from its own day, never below nothing. Costs: as the terms say.
 * @param begin the first day with cattle
 * @param end the day on which the last of them left, or the day after the last one of the account
 */
export function closeoutInterest({
  terms,
  cattle,
  costs,
  begin,
  end,
  currency,
}: {
  readonly terms: InterestTerms;
  readonly cattle: readonly DatedMoney[];
  readonly costs: readonly DatedMoney[];
  readonly begin: CalendarDay;
  readonly end: CalendarDay;
  readonly currency: Currency;
}): CloseoutInterest {
  const days = Math.max(0, daysBetween(begin, end));
  const interest = (moneyDays: Money): Money => moneyDays.times(terms.yearlyRate).dividedBy(terms.dayBasis).rounded();
  const none = Money.zero(currency);
  return {
    days,
    onCattle: terms.onCattle ? interest(balanceDays(cattle, { end, currency })) : none,
    onCosts: terms.onCosts === 'none' ? none : interest(costDays(terms.onCosts, costs, { days, end, currency })),
  };
}

/** What is laid out for cattle, day by day, added up. */
function balanceDays(
  cattle: readonly DatedMoney[],
  { end, currency }: { end: CalendarDay; currency: Currency },
): Money {
  const days = [...new Set(cattle.map(({ on }) => on))].filter((on) => compareDays(on, end) < 0).sort(compareDays);
  let [balance, sum] = [Money.zero(currency), Money.zero(currency)];
  days.forEach((day, index) => {
    for (const one of cattle) if (one.on === day) balance = balance.plus(one.amount);
    if (balance.isNegative()) balance = Money.zero(currency);
    sum = sum.plus(balance.times(daysBetween(day, days[index + 1] ?? end)));
  });
  return sum;
}

function costDays(
  how: 'half-time' | 'from-their-day',
  costs: readonly DatedMoney[],
  { days, end, currency }: { days: number; end: CalendarDay; currency: Currency },
): Money {
  if (how === 'half-time')
    return Money.sum(
      costs.map(({ amount }) => amount),
      currency,
    )
      .times(days)
      .dividedBy(2);
  return Money.sum(
    costs.map(({ on, amount }) => amount.times(Math.max(0, daysBetween(on, end)))),
    currency,
  );
}

/** The terms in words, for a report. */
export function interestWords({ yearlyRate, dayBasis, onCattle, onCosts }: InterestTerms): string {
  const rate = `${yearlyRate.times(100).toFixed()} % a year of ${dayBasis} days, simple`;
  const parts = [
    ...(onCattle ? ['on cattle from the day they came, less what was received for them'] : []),
    ...(onCosts === 'half-time' ? ['on feed and other costs for half of the days (common practice)'] : []),
    ...(onCosts === 'from-their-day' ? ['on feed and other costs from their own day'] : []),
  ];
  return parts.length === 0 ? 'No interest' : `Interest at ${rate}, ${parts.join(', and ')}`;
}
