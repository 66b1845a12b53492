import { daysBetween, type CalendarDay } from '../time/calendar-day.js';
import { decimal, type Decimal } from '../units/decimal.js';
import { KILOGRAM_PLACES, Mass } from '../units/mass.js';
import { lossUntil } from './losses.js';
import { type Refusal, refused } from '../outcome/outcome.js';
import { problem } from '../outcome/problem.js';

export interface StorageShrink {
  readonly ok: true;
  /** To be booked now, in kilograms to twelve places. */
  readonly loss: Mass;
  readonly days: number;
  /** Share of the stored hay gone by the first and by the last of the days, by even growth to the season's loss. */
  readonly goneBefore: Decimal;
  readonly goneNow: Decimal;
  /** Share of the balance that is lost: (goneNow - goneBefore) / (1 - goneBefore). */
  readonly shareOfBalance: Decimal;
}

/**
 * Storage loss of a lot from the day it is booked up to, to another day. The published loss is a share of the hay
 * that was stored; what is left of it after a share `goneBefore` is 1 - goneBefore, so the balance loses (goneNow
 * - goneBefore) / (1 - goneBefore). Even growth over the season: `lossUntil`. Hay drawn in the meantime is ignored:
 * it is assumed to have lost what the rest lost.
 * @param balance what the books hold on `on`, before this loss
 * @param seasonLoss share lost in a whole season, 0 to below 1
 */
export function storageShrink({
  balance,
  seasonLoss,
  storedOn,
  bookedUntil,
  on,
}: {
  readonly balance: Mass;
  readonly seasonLoss: Decimal;
  readonly storedOn: CalendarDay;
  readonly bookedUntil: CalendarDay;
  readonly on: CalendarDay;
}): StorageShrink | Refusal {
  if (daysBetween(bookedUntil, on) < 1)
    return refused(
      problem(
        'loss-booked-already',
        'on',
        on,
        `after ${bookedUntil}`,
        `Storage loss of this lot is booked up to ${bookedUntil}.`,
      ),
    );
  const goneBefore = lossUntil({ seasonLoss, storedOn, usedOn: bookedUntil });
  const goneNow = lossUntil({ seasonLoss, storedOn, usedOn: on });
  const shareOfBalance = goneNow.minus(goneBefore).div(decimal(1).minus(goneBefore));
  const loss = Mass.kilograms(balance.times(shareOfBalance).kilograms.toDecimalPlaces(KILOGRAM_PLACES));
  if (!loss.isPositive())
    return refused(
      problem(
        'nothing-lost',
        'on',
        on,
        'a day on which something is lost',
        'By this figure the lot loses nothing over these days.',
      ),
    );
  return { ok: true, loss, days: daysBetween(bookedUntil, on), goneBefore, goneNow, shareOfBalance };
}
