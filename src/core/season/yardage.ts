import { compareDays, daysBetween, type CalendarDay } from '../time/calendar-day.js';
import { headDays, type HeadStep } from '../standing/head-days.js';
import { decimal } from '../units/decimal.js';
import { type Currency, Money } from '../units/money.js';

/** What a head costs per day besides feed, from a day on. `herdId` null: every herd without a rate of its own. */
export interface YardageRate {
  readonly herdId: string | null;
  readonly from: CalendarDay;
  readonly perHeadDay: Money;
}

export interface YardageCost {
  readonly cost: Money;
  readonly headDays: number;
  /** Days of the span with cattle but without a rate. */
  readonly daysWithoutRate: number;
}

/**
 * Yardage of one herd over [from, until): head-days times the rate of each day, to the cent at the end. A herd's own
 * rates replace the general ones from the day of its first own rate; of two rates from the same day the later entry
 * counts.
 */
export function yardageCost({
  herdId,
  steps,
  rates,
  from,
  until,
  currency,
}: {
  readonly herdId: string;
  readonly steps: readonly HeadStep[];
  readonly rates: readonly YardageRate[];
  readonly from: CalendarDay;
  readonly until: CalendarDay;
  readonly currency: Currency;
}): YardageCost {
  const own = ordered(rates.filter((rate) => rate.herdId === herdId));
  const general = ordered(rates.filter((rate) => rate.herdId === null));
  const edges = [
    ...new Set([
      from,
      ...[...own, ...general]
        .map((rate) => rate.from)
        .filter((day) => compareDays(day, from) > 0 && compareDays(day, until) < 0),
      until,
    ]),
  ].sort(compareDays);
  let cost = Money.zero(currency);
  let total = 0;
  let daysWithoutRate = 0;
  edges.slice(0, -1).forEach((start, index) => {
    const end = edges[index + 1] ?? until;
    const standing = headDays(steps, start, end);
    total += standing;
    const rate = inForce(own, start) ?? inForce(general, start);
    if (rate === undefined) daysWithoutRate += standing > 0 ? daysBetween(start, end) : 0;
    else cost = cost.plus(rate.perHeadDay.times(decimal(standing)));
  });
  return { cost: cost.rounded(), headDays: total, daysWithoutRate };
}

function ordered(rates: readonly YardageRate[]): YardageRate[] {
  return [...rates].sort((one, other) => compareDays(one.from, other.from));
}

function inForce(rates: readonly YardageRate[], day: CalendarDay): YardageRate | undefined {
  return rates.filter((rate) => compareDays(rate.from, day) <= 0).at(-1);
}
