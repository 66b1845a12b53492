import { Decimal, decimal } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import { type Currency, Money, type PricePerMass } from '../units/money.js';

/** How a season's cost is broken down. */
export const SEASON_GROUPS = ['operation', 'herd', 'ranch', 'kind', 'month'] as const;
/** By kind of feed, the row of what is of none: yardage. */
export const NO_KIND = 'no-kind';
export type SeasonGroup = (typeof SEASON_GROUPS)[number];

/** Hay of one kind fed to a herd in a month, at its cost in the books. Signed: a reversed feeding is negative. */
export interface FedLine {
  readonly herdId: string;
  readonly ranchId: string;
  readonly hayKind: string;
  /** Hay, or another feed (mineral, cubes, silage); hay if not said. */
  readonly feed?: 'hay' | 'other';
  readonly month: string;
  readonly mass: Mass;
  readonly cost: Money;
}

/** Cattle in a herd in a month, what they cost besides feed, and what was recorded as left or spoiled. */
export interface HerdMonth {
  readonly herdId: string;
  readonly ranchId: string;
  readonly month: string;
  readonly headDays: number;
  readonly days: number;
  readonly yardage: Money;
  /** Refused and wasted hay, from the month's feedings where either was recorded. */
  readonly lost: Mass;
  readonly feedings: number;
  readonly feedingsWithLossMeasured: number;
}

/**
 * Money of these days that is not of what was fed in them, and is told apart: a herd's share of a late bill, or a
 * correction of an earlier period (negative where it takes a cost back). Without a kind where it is of yardage.
 */
export interface CostApart {
  readonly what: 'late-cost' | 'correction';
  readonly herdId: string;
  readonly ranchId: string;
  readonly hayKind: string | null;
  readonly month: string;
  readonly amount: Money;
}

export interface SeasonRow {
  readonly key: string;
  readonly fed: Mass;
  /**
   * Fed less refused and wasted. Null in all rows where no loss was measured at all, else a row without a measured
   * loss counts as eaten whole; null too where the row is by kind (losses are recorded for the whole feeding).
   */
  readonly eaten: Mass | null;
  readonly hayCost: Money;
  readonly otherFed: Mass;
  readonly otherFeedCost: Money;
  readonly yardageCost: Money | null;
  readonly totalCost: Money;
  /** Bills of these days for hay that was eaten before they came; not in the total. */
  readonly lateCosts: Money;
  readonly totalWithLateCosts: Money;
  /** What reversals of these days take back from the cost of earlier ones; not in the totals. */
  readonly corrections: Money;
  readonly headDays: number | null;
  readonly meanHead: Decimal | null;
  readonly perHeadDay: Money | null;
  /** Cost of the span divided by its mean head. */
  readonly perHead: Money | null;
  readonly perMassFed: PricePerMass | null;
  readonly perMassEaten: PricePerMass | null;
}

export interface SeasonCost {
  readonly rows: readonly SeasonRow[];
  readonly total: SeasonRow;
  /** Share of the feedings in which refusals or waste were recorded, 0 to 1; null without feedings. */
  readonly shareOfFeedingsWithLossMeasured: number | null;
}

/**
 * What a season cost, by operation, herd, ranch, kind of feed or month. Hay and other feed at their booked cost,
 * yardage by head-day; per head over the mean head of the span, per head-day, per mass fed and per mass eaten. Late
 * costs and corrections of earlier periods stand apart. The rows add up to the total, to the cent: by kind, what has no
 * kind of feed (yardage, and its corrections) is a row of its own.
 */
export function seasonCost({
  fed,
  herdMonths,
  apart = [],
  by,
  days,
  currency,
}: {
  readonly fed: readonly FedLine[];
  readonly herdMonths: readonly HerdMonth[];
  readonly apart?: readonly CostApart[];
  readonly by: SeasonGroup;
  readonly days: number;
  readonly currency: Currency;
}): SeasonCost {
  const keyOfFed = (line: FedLine): string =>
    ({ operation: 'operation', herd: line.herdId, ranch: line.ranchId, kind: line.hayKind, month: line.month })[by];
  const keyOfMonth = (line: HerdMonth): string =>
    ({ operation: 'operation', herd: line.herdId, ranch: line.ranchId, kind: NO_KIND, month: line.month })[by];
  const keyOfApart = (line: CostApart): string =>
    ({
      operation: 'operation',
      herd: line.herdId,
      ranch: line.ranchId,
      kind: line.hayKind ?? NO_KIND,
      month: line.month,
    })[by];
  const standing = herdMonths.filter((line) => line.headDays > 0 || line.feedings > 0);
  // Without yardage there is nothing without a kind.
  const inRows = by === 'kind' ? standing.filter(({ yardage }) => !yardage.isZero()) : standing;
  const keys = [...new Set([...fed.map(keyOfFed), ...inRows.map(keyOfMonth), ...apart.map(keyOfApart)])].sort();
  const feedings = herdMonths.reduce((sum, line) => sum + line.feedings, 0);
  const measured = herdMonths.reduce((sum, line) => sum + line.feedingsWithLossMeasured, 0);
  const lossMeasured = measured > 0;
  const rows = keys.map((key) => {
    const months = standing.filter((line) => keyOfMonth(line) === key);
    const span = by === 'month' ? (months[0]?.days ?? days) : days;
    const made = row(
      key,
      fed.filter((line) => keyOfFed(line) === key),
      by === 'kind' && key !== NO_KIND ? null : months,
      apart.filter((line) => keyOfApart(line) === key),
      { days: span, lossMeasured },
      currency,
    );
    return by === 'kind' ? { ...made, eaten: null, perMassEaten: null } : made;
  });
  return {
    rows,
    total: row('total', fed, standing, apart, { days, lossMeasured }, currency),
    shareOfFeedingsWithLossMeasured: feedings === 0 ? null : measured / feedings,
  };
}

function row(
  key: string,
  fed: readonly FedLine[],
  months: readonly HerdMonth[] | null,
  apart: readonly CostApart[],
  { days, lossMeasured }: { days: number; lossMeasured: boolean },
  currency: Currency,
): SeasonRow {
  const hay = fed.filter((line) => line.feed !== 'other');
  const others = fed.filter((line) => line.feed === 'other');
  const mass = Mass.sum(hay.map((line) => line.mass));
  const hayCost = Money.sum(
    hay.map((line) => line.cost),
    currency,
  );
  const otherFeedCost = Money.sum(
    others.map((line) => line.cost),
    currency,
  );
  const feedCost = hayCost.plus(otherFeedCost);
  const yardageCost =
    months === null
      ? null
      : Money.sum(
          months.map((line) => line.yardage),
          currency,
        );
  const totalCost = yardageCost === null ? feedCost : feedCost.plus(yardageCost);
  const lateCosts = sumOf(apart, 'late-cost', currency);
  const headDays = months === null ? null : months.reduce((sum, line) => sum + line.headDays, 0);
  const eaten = lossMeasured && months !== null ? mass.minus(Mass.sum(months.map((line) => line.lost))) : null;
  const meanHead = headDays === null || days === 0 ? null : decimal(headDays).div(days);
  const stood = headDays !== null && headDays > 0;
  return {
    key,
    fed: mass,
    eaten,
    hayCost,
    otherFed: Mass.sum(others.map((line) => line.mass)),
    otherFeedCost,
    yardageCost,
    totalCost,
    lateCosts,
    totalWithLateCosts: totalCost.plus(lateCosts),
    corrections: sumOf(apart, 'correction', currency),
    headDays,
    meanHead,
    perHeadDay: stood ? totalCost.dividedBy(decimal(headDays)) : null,
    perHead: stood && meanHead !== null ? totalCost.dividedBy(meanHead) : null,
    perMassFed: mass.isPositive() ? hayCost.per(mass) : null,
    perMassEaten: eaten?.isPositive() === true ? hayCost.per(eaten) : null,
  };
}

function sumOf(apart: readonly CostApart[], what: CostApart['what'], currency: Currency): Money {
  return Money.sum(
    apart.filter((line) => line.what === what).map((line) => line.amount),
    currency,
  );
}
