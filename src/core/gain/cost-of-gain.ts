import { counted } from '../units/counted.js';
import { daysBetween, isCalendarDay, type CalendarDay } from '../time/calendar-day.js';
import { decimal, type Decimal } from '../units/decimal.js';
import { type Mass, massInWords, type MassUnit } from '../units/mass.js';
import { Money, type PricePerMass } from '../units/money.js';
import { herdGain, type HerdGain, type WeighIn, type WeightFlow } from './daily-gain.js';
import { type Refusal, refused } from '../outcome/outcome.js';
import { problem, type Problem } from '../outcome/problem.js';

/**
 * A weighing may be this many days from the start or the end of the period. Common practice, no source: growing
 * cattle gain 14 lb in a week at 2 lb a day, about the error of fill; the caller may set another window.
 */
export const DEFAULT_WEIGHING_WINDOW_DAYS = 7;

export interface CostOfGain {
  readonly ok: true;
  readonly gain: HerdGain;
  readonly feedCost: Money;
  readonly yardageCost: Money;
  readonly otherCost: Money;
  readonly totalCost: Money;
  readonly feedCostOfGain: PricePerMass;
  readonly totalCostOfGain: PricePerMass;
  /** Over the gain without the weight of the dead; null where they outweigh what the others gained. */
  readonly deadsIn: { readonly feedCostOfGain: PricePerMass; readonly totalCostOfGain: PricePerMass } | null;
  readonly costPerHeadDay: Money;
  /** How many days each weighing is from the day it stands for. */
  readonly weighingOffsetDays: { readonly opening: number; readonly closing: number };
}

/**
 * Cost of gain of a herd over [from, until): cost ÷ weight gained, for feed alone and for all costs with yardage.
 * Nothing is computed where the weights cannot support it: no weighing within `windowDays` of `from` or of `until`
 * (offset counted in days), head that do not tie, cattle in or out without a weight, or a gain that is not positive.
 * Method: total cost ÷ total gain, e.g. Reiling, B. 2023. Market Beef Performance Measures and Values. Nebraska
 * Extension G2095.
 */
export function costOfGain(input: {
  from: CalendarDay;
  until: CalendarDay;
  opening: WeighIn | undefined;
  closing: WeighIn | undefined;
  flows: readonly WeightFlow[];
  headDays: number;
  feedCost: Money;
  yardagePerHeadDay: Money;
  otherCost?: Money;
  windowDays?: number;
  /** Unit that a refusal gives the gain in. */
  unit?: MassUnit;
}): CostOfGain | Refusal {
  const { from, until, opening, closing, flows, headDays, feedCost, unit = 'kg' } = input;
  const windowDays = input.windowDays ?? DEFAULT_WEIGHING_WINDOW_DAYS;
  for (const [field, day] of [
    ['from', from],
    ['until', until],
  ] as const) {
    if (!isCalendarDay(day))
      return refused(problem('day-not-a-date', field, day, 'YYYY-MM-DD', `${day} is not a calendar day.`));
  }
  const [opened, closed] = [
    weighingOffset(opening, from, 'opening', windowDays),
    weighingOffset(closing, until, 'closing', windowDays),
  ];
  const problems = [...opened.problems, ...closed.problems];
  if (problems.length > 0 || !opening || !closing) return refused(problems);
  const gain = herdGain({ opening, closing, flows, headDays });
  if (!gain.ok) return gain;
  if (!gain.totalGain.isPositive()) {
    return refused(
      problem(
        'gain-not-positive',
        'gain',
        massInWords(gain.totalGain, unit, 1),
        `more than 0 ${unit}`,
        `${gainWords(gain.totalGain, unit)} between the weighings: a cost of gain has no meaning.`,
      ),
    );
  }
  const yardageCost = input.yardagePerHeadDay.times(decimal(headDays)).rounded();
  const otherCost = input.otherCost ?? Money.zero(feedCost.currency);
  const totalCost = feedCost.plus(yardageCost).plus(otherCost);
  return {
    ok: true,
    gain,
    feedCost,
    yardageCost,
    otherCost,
    totalCost,
    weighingOffsetDays: { opening: opened.days, closing: closed.days },
    feedCostOfGain: feedCost.per(gain.totalGain),
    totalCostOfGain: totalCost.per(gain.totalGain),
    deadsIn: gain.gainDeadsIn.isPositive()
      ? { feedCostOfGain: feedCost.per(gain.gainDeadsIn), totalCostOfGain: totalCost.per(gain.gainDeadsIn) }
      : null,
    costPerHeadDay: totalCost.dividedBy(decimal(headDays)),
  };
}

/** How many days a weighing is from the day it stands for. */
function weighingOffset(
  weighing: WeighIn | undefined,
  day: CalendarDay,
  field: 'opening' | 'closing',
  windowDays: number,
): { days: number; problems: Problem[] } {
  if (!weighing || !isCalendarDay(weighing.day))
    return {
      days: Number.NaN,
      problems: [
        problem(
          'no-weighing',
          field,
          '',
          `a weighing within ${counted(windowDays, 'day')} of ${day}`,
          `The herd was not weighed within ${counted(windowDays, 'day')} of ${day}.`,
        ),
      ],
    };
  const days = daysBetween(day, weighing.day);
  if (Math.abs(days) <= windowDays) return { days, problems: [] };
  return {
    days,
    problems: [
      problem(
        'weighing-outside-window',
        `${field}.day`,
        weighing.day,
        `within ${counted(windowDays, 'day')} of ${day}`,
        `The nearest weighing, ${weighing.day}, is ${counted(Math.abs(days), 'day')} from ${day}.`,
      ),
    ],
  };
}

/**
 * Feed cost of gain from a ration: cost per head per day ÷ daily gain. Alberta Agriculture, 4-H feeding terms and feed
 * cost calculations.
 */
export function rationCostOfGain(input: {
  costPerHeadDay: Money;
  dailyGain: Mass;
}): { ok: true; costOfGain: PricePerMass } | Refusal {
  if (!input.dailyGain.isPositive()) {
    return refused(
      problem(
        'gain-not-positive',
        'dailyGain',
        input.dailyGain.toString(),
        'more than 0 kg',
        'A cost of gain needs a gain above zero.',
      ),
    );
  }
  return { ok: true, costOfGain: input.costPerHeadDay.per(input.dailyGain) };
}

/** Days to put on a gain at a daily gain, rounded up to a whole day. */
export function daysToGain(input: {
  gain: Mass;
  dailyGain: Mass;
}): { ok: true; exactDays: Decimal; days: number } | Refusal {
  if (!input.dailyGain.isPositive() || input.gain.isNegative()) {
    return refused(
      problem(
        'gain-not-positive',
        'dailyGain',
        input.dailyGain.toString(),
        'more than 0 kg',
        'No number of days puts on this gain.',
      ),
    );
  }
  const exactDays = input.gain.ratioTo(input.dailyGain);
  return { ok: true, exactDays, days: exactDays.ceil().toNumber() };
}

export interface FeedConversion {
  readonly ok: true;
  readonly dryMatterEaten: Mass;
  /** Dry matter fed per unit of gain. */
  readonly fedPerGain: Decimal;
  /** Dry matter eaten (fed less refused and wasted) per unit of gain. */
  readonly eatenPerGain: Decimal;
}

/** Feed conversion: dry matter per unit of gain, on what was fed and on what was eaten. */
export function feedConversion(input: {
  dryMatterFed: Mass;
  dryMatterRefused: Mass;
  dryMatterWasted: Mass;
  gain: Mass;
}): FeedConversion | Refusal {
  const { dryMatterFed, dryMatterRefused, dryMatterWasted, gain } = input;
  const dryMatterEaten = dryMatterFed.minus(dryMatterRefused).minus(dryMatterWasted);
  const problems: Problem[] = [];
  if (!gain.isPositive())
    problems.push(
      problem(
        'gain-not-positive',
        'gain',
        gain.toString(),
        'more than 0 kg',
        'Feed conversion needs a gain above zero.',
      ),
    );
  if (dryMatterEaten.isNegative())
    problems.push(
      problem(
        'more-left-than-fed',
        'dryMatterRefused',
        dryMatterEaten.toString(),
        'no more than was fed',
        'Refusals and waste are more than what was fed.',
      ),
    );
  if (problems.length > 0) return refused(problems);
  return {
    ok: true,
    dryMatterEaten,
    fedPerGain: dryMatterFed.ratioTo(gain),
    eatenPerGain: dryMatterEaten.ratioTo(gain),
  };
}

function gainWords(gain: Mass, unit: MassUnit): string {
  return gain.isNegative() ? `The herd lost ${massInWords(gain.negated(), unit, 1)}` : 'The herd gained nothing';
}
