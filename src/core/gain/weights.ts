import { isCalendarDay, type CalendarDay } from '../time/calendar-day.js';
import { decimal, type Decimal } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import type { PricePerMass, Money } from '../units/money.js';
import { type Refusal, refused } from '../outcome/outcome.js';
import { problem } from '../outcome/problem.js';
import { PENCIL_SHRINK, SHRINK_BY_HOURS, STANDARD_SHRUNK_SHARE } from './shrink.data.js';

/** Shrunk weight = 0.96 × full weight (NRC 2000). */
export function nrc2000ShrunkWeight(fullWeight: Mass): Mass {
  return fullWeight.times(STANDARD_SHRUNK_SHARE);
}

/** Full weight from a shrunk one, the same 4 %. */
export function nrc2000FullWeight(shrunkWeight: Mass): Mass {
  return shrunkWeight.dividedBy(STANDARD_SHRUNK_SHARE);
}

/**
 * Weight less a pencil shrink, and its price. There is a warning where the shrink is above what is commonly taken.
 * Source of the range: Noble Research Institute 1998; Alberta Farmer Express 2017.
 */
export function pencilShrink(input: { weight: Mass; shrink: string | Decimal; price?: PricePerMass }):
  | {
      readonly ok: true;
      readonly payWeight: Mass;
      readonly value?: Money;
      readonly warnings: readonly { readonly code: 'shrink-unusual'; readonly message: string }[];
    }
  | Refusal {
  const shrink = decimal(input.shrink);
  if (shrink.lt(0) || shrink.gte(1))
    return refused(
      problem('shrink-out-of-range', 'shrink', shrink.toFixed(), '0 to below 1', 'Shrink is a share: 0.04 is 4 %.'),
    );
  const payWeight = input.weight.times(decimal(1).minus(shrink));
  const warnings = shrink.gt(PENCIL_SHRINK.seenHigh)
    ? [
        {
          code: 'shrink-unusual' as const,
          message:
            `A pencil shrink of ${shrink.times(100).toFixed()} % is above the ` +
            `${decimal(PENCIL_SHRINK.seenHigh).times(100).toFixed()} % that is usually the most ` +
            `(${PENCIL_SHRINK.source}).`,
        },
      ]
    : [];
  return { ok: true, payWeight, ...(input.price ? { value: input.price.for(payWeight) } : {}), warnings };
}

/**
 * Share of live weight lost by hours off feed and water: 1 % an hour for the first four, then 0.25 % an hour for ten.
 * Beyond the hours that the source covers the figure stays flat and `beyondSource` says so. Mississippi State P2577.
 */
export function msStateShrinkByHours(hoursOffFeedAndWater: number): {
  readonly share: number;
  readonly beyondSource: boolean;
  readonly source: string;
} {
  if (!(hoursOffFeedAndWater >= 0))
    throw new RangeError('Hours off feed cannot be below ' + `zero: ${hoursOffFeedAndWater}`);
  const { firstHours, thenHours, perFirstHour, perLaterHour, source } = SHRINK_BY_HOURS;
  const first = Math.min(hoursOffFeedAndWater, firstHours);
  const later = Math.min(Math.max(0, hoursOffFeedAndWater - firstHours), thenHours);
  return {
    share: first * Number(perFirstHour) + later * Number(perLaterHour),
    beyondSource: hoursOffFeedAndWater > firstHours + thenHours,
    source,
  };
}

/** One weight of one animal or group. Repeats of one day belong together only when all were full or all were shrunk. */
export interface WeightReading {
  readonly subjectId: string;
  readonly day: CalendarDay;
  readonly state: 'full' | 'shrunk';
  readonly weight: Mass;
}

export interface DayWeight {
  readonly subjectId: string;
  readonly day: CalendarDay;
  readonly state: 'full' | 'shrunk';
  readonly readings: number;
  readonly mean: Mass;
  /** Highest less lowest of the day. */
  readonly spread: Mass;
}

/** Means of repeated weighings of one subject on one day, full and shrunk apart, in the order of subject and day. */
export function sameDayAverages(readings: readonly WeightReading[]): DayWeight[] {
  const groups = new Map<string, WeightReading[]>();
  for (const reading of readings) {
    if (!isCalendarDay(reading.day)) throw new RangeError(`Not a calendar day: ${reading.day}`);
    const key = JSON.stringify([reading.subjectId, reading.day, reading.state]);
    groups.set(key, [...(groups.get(key) ?? []), reading]);
  }
  return [...groups]
    .sort(([one], [other]) => (one < other ? -1 : 1))
    .flatMap(([, group]) => {
      const [first] = group;
      if (!first) return [];
      const sorted = group.map((reading) => reading.weight).sort((one, other) => one.compare(other));
      const [lowest, highest] = [sorted[0] ?? Mass.zero, sorted.at(-1) ?? Mass.zero];
      return [
        {
          subjectId: first.subjectId,
          day: first.day,
          state: first.state,
          readings: group.length,
          mean: Mass.sum(sorted).dividedBy(group.length),
          spread: highest.minus(lowest),
        },
      ];
    });
}
