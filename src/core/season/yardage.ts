import { addDays, compareDays, daysBetween, monthOf, monthSpans, type CalendarDay } from '../time/calendar-day.js';
import { headDays, headEvents, headHistory, type HeadStep, type SignedHead } from '../standing/head-days.js';
import { type DatedEntry, type Reversed, whatStands } from '../time/what-stands.js';
import { decimal } from '../units/decimal.js';
import { type Currency, Money } from '../units/money.js';

/** What a head costs per day besides feed, from a day on. `herdId` null: every herd without a rate of its own. */
export interface YardageRate {
  readonly herdId: string | null;
  readonly from: CalendarDay;
  readonly perHeadDay: Money;
}

/** A rate as it was entered (`on`: the day from which it holds), or the reversal of one. In the order of entry. */
export interface YardageRateEntry extends DatedEntry {
  readonly herdId: string | null;
  readonly perHeadDay: Money;
}

/** The rates that count for an account of some days, in the order of entry. */
export function ratesOf(
  entries: readonly YardageRateEntry[],
  span: { readonly from?: CalendarDay; readonly until?: CalendarDay },
): YardageRate[] {
  return whatStands(entries, span).standing.flatMap(asRate);
}

function asRate({ herdId, on, perHeadDay, reversesId }: YardageRateEntry): YardageRate[] {
  return reversesId === null ? [{ herdId, from: on, perHeadDay }] : [];
}

/** A rate that a reversal of these days takes back of earlier ones, and what that changes of a herd's yardage. */
export interface RateCorrection extends Reversed {
  readonly herdId: string;
  /** Below zero where the days before had too much. */
  readonly amount: Money;
}

/**
 * What rates that were reversed in these days had made wrong before they began, for one herd: the yardage of the days
 * from the rate on, month by month, without it less with it; at the head that the account of those days had. With
 * `headCorrection` at the rates that stand now, the two add up to all that was wrong.
 */
export function rateCorrections({
  herdId,
  head,
  rates,
  from,
  until,
  currency,
}: {
  readonly herdId: string;
  /** The herd's head changes as they were entered. */
  readonly head: readonly (DatedEntry & SignedHead)[];
  readonly rates: readonly YardageRateEntry[];
  readonly from: CalendarDay;
  readonly until: CalendarDay;
  readonly currency: Currency;
}): RateCorrection[] {
  const { standing, corrections } = whatStands(rates, { from, until });
  const concerned = corrections.filter(({ reversed }) => reversed.herdId === null || reversed.herdId === herdId);
  if (concerned.length === 0) return [];
  const history = headHistory(headEvents(whatStands(head, { until: addDays(from, -1) }).standing));
  const steps = history.ok ? history.steps : [];
  const known = new Set([...standing, ...corrections.map(({ reversed }) => reversed)]);
  let told = rates.filter((one) => known.has(one));
  return concerned.flatMap(({ reversed, reversal }) => {
    const without = told.filter((one) => one !== reversed);
    const cost = (entries: readonly YardageRateEntry[]): Money =>
      Money.sum(
        monthSpans(`${monthOf(reversed.on)}-01`, from).map(
          (month) =>
            yardageCost({
              herdId,
              steps,
              rates: entries.flatMap(asRate),
              currency,
              from: month.from,
              until: month.until,
            }).cost,
        ),
        currency,
      );
    const amount = cost(without).minus(cost(told));
    told = without;
    return amount.isZero() ? [] : [{ herdId, reversedOn: reversed.on, reversalOn: reversal.on, amount }];
  });
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
