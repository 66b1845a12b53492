import type { CalendarDay } from '../time/calendar-day.js';
import type { EarlierCorrection, PutInPlace } from '../time/what-stands.js';
import type { Currency, Money } from '../units/money.js';
import { yardageCost, type YardageRate } from './yardage.js';

interface HeadThen {
  readonly herdId: string;
  readonly on: CalendarDay;
  readonly head: number;
}

interface HeadCorrection {
  readonly head: number;
  readonly headDays: number;
  readonly yardage: Money;
}

/** The opposite: what a head change that was posted late in place of another adds to the days before `from`. */
export function headInPlace(
  { entry }: PutInPlace<HeadThen>,
  before: Parameters<typeof headCorrection>[1],
): HeadCorrection {
  const { head, headDays, yardage } = headCorrection({ reversed: entry }, before);
  return { head: -head, headDays: -headDays, yardage: yardage.negated() };
}

/**
 * What a head change of an earlier period, reversed in this one, had made wrong before this one began: the head-days
 * from its day to `from`, and their yardage. Signed as the books should have had them: a death that was none adds.
 */
export function headCorrection(
  { reversed }: Pick<EarlierCorrection<HeadThen>, 'reversed'>,
  { from, rates, currency }: { from: CalendarDay; rates: readonly YardageRate[]; currency: Currency },
): HeadCorrection {
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
