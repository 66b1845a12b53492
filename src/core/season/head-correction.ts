import type { CalendarDay } from '../time/calendar-day.js';
import type { EarlierCorrection } from '../time/what-stands.js';
import type { Currency, Money } from '../units/money.js';
import { yardageCost, type YardageRate } from './yardage.js';

/**
 * What a head change of an earlier period, reversed in this one, had made wrong before this one began: the head-days
 * from its day to `from`, and their yardage. Signed as the books should have had them: a death that was none adds.
 */
export function headCorrection(
  { reversed }: EarlierCorrection<{ readonly herdId: string; readonly on: CalendarDay; readonly head: number }>,
  { from, rates, currency }: { from: CalendarDay; rates: readonly YardageRate[]; currency: Currency },
): { readonly head: number; readonly headDays: number; readonly yardage: Money } {
  const { herdId, on, head } = reversed;
  const wrong = yardageCost({
    herdId,
    steps: [{ from: on, head: Math.abs(head) }],
    rates,
    from: on,
    until: from,
    currency,
  });
  const sign = head < 0 ? 1 : -1;
  return { head: -head, headDays: sign * wrong.headDays, yardage: wrong.cost.times(sign) };
}
