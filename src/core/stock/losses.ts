import { daysBetween, type CalendarDay } from '../time/calendar-day.js';
import { decimal, type Decimal } from '../units/decimal.js';
import type { Mass } from '../units/mass.js';
import { Money } from '../units/money.js';
import { FEEDING_WASTES, type FeedingWasteCode } from './feeding-waste.data.js';
import { type Refusal, refused } from '../outcome/outcome.js';
import { problem } from '../outcome/problem.js';
import { STORAGE_LOSSES, STORAGE_SEASON_DAYS, type StorageLossCode } from './storage-loss.data.js';

/** A loss as a share, from a published row or the ranch's own measurement. */
export interface LossFigure {
  readonly low: Decimal;
  readonly typical: Decimal;
  readonly high: Decimal;
  readonly basis: 'published' | 'own measurement';
  readonly source: string;
}

/** A ranch's own figure, with how it was measured; it replaces whatever is published. */
export interface OwnMeasurement {
  readonly share: string | Decimal;
  readonly how: string;
}

function figure(
  row: { low: string; high: string; source: string } | undefined,
  code: string,
  own: OwnMeasurement | undefined,
): LossFigure | Refusal {
  if (own) {
    const share = decimal(own.share);
    if (share.lt(0) || share.gte(1))
      return refused(
        problem('loss-out-of-range', 'own.share', share.toFixed(), '0 to below 1', 'A loss is a share: 0.08 is 8 %.'),
      );
    return { low: share, typical: share, high: share, basis: 'own measurement', source: own.how };
  }
  if (!row) throw new RangeError(`No published figure is called ${code}`);
  const [low, high] = [decimal(row.low), decimal(row.high)];
  return { low, high, typical: low.plus(high).div(2), basis: 'published', source: row.source };
}

/** Storage loss of a whole season; `typical` is the middle of the printed range. */
export function storageLoss(code: StorageLossCode, own?: OwnMeasurement): LossFigure | Refusal {
  return figure(
    STORAGE_LOSSES.find((row) => row.code === code),
    code,
    own,
  );
}

/** Feeding waste by method; `typical` is the middle of the printed range. */
export function feedingWaste(code: FeedingWasteCode, own?: OwnMeasurement): LossFigure | Refusal {
  return figure(
    FEEDING_WASTES.find((row) => row.code === code),
    code,
    own,
  );
}

/** Waste as it was measured: wasted ÷ what disappeared (eaten and wasted together). */
export function measuredWaste(input: { disappeared: Mass; wasted: Mass }): Decimal {
  return input.wasted.ratioTo(input.disappeared);
}

/** Loss from the day of stacking to a day of use: even growth to the season's loss over `seasonDays`, then no more. */
export function lossUntil(input: {
  seasonLoss: Decimal;
  storedOn: CalendarDay;
  usedOn: CalendarDay;
  seasonDays?: number;
}): Decimal {
  const days = Math.max(0, daysBetween(input.storedOn, input.usedOn));
  const season = input.seasonDays ?? STORAGE_SEASON_DAYS;
  return days >= season ? input.seasonLoss : input.seasonLoss.times(days).div(season);
}

/** Money lost per unit of hay bought: price × loss (Huhnke, Oklahoma State University). */
export function valueLost(input: { price: Money; share: string | Decimal }): Money {
  return input.price.times(decimal(input.share));
}

/**
 * What hay costs when some is wasted, two ways: `perBought` adds the loss to the price (Missouri, 2011: 45 × 1.36),
 * `perEaten` spreads the price over what is eaten (45 ÷ 0.64), which is what the eaten hay truly cost.
 */
export function priceWithWaste(input: { price: Money; waste: string | Decimal }): {
  readonly loss: Money;
  readonly perBought: Money;
  readonly perEaten: Money;
} {
  const loss = input.price.times(decimal(input.waste));
  return {
    loss,
    perBought: input.price.plus(loss),
    perEaten: input.price.dividedBy(decimal(1).minus(decimal(input.waste))),
  };
}

/** Waste of a season's bales in mass per bale and money in all. */
export function seasonWaste(input: { waste: string | Decimal; baleWeight: Mass; bales: number; pricePerBale: Money }): {
  readonly massPerBale: Mass;
  readonly cost: Money;
} {
  const waste = decimal(input.waste);
  return { massPerBale: input.baleWeight.times(waste), cost: input.pricePerBale.times(input.bales).times(waste) };
}
