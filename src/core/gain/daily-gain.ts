import { dayNumber, daysBetween, isCalendarDay, type CalendarDay } from '../time/calendar-day.js';
import { decimal } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import { type Refusal, refused } from '../outcome/outcome.js';
import { problem, type Problem } from '../outcome/problem.js';

/** One animal or one group on one day. `head` animals together weigh `totalWeight`. */
export interface WeighIn {
  readonly day: CalendarDay;
  readonly head: number;
  readonly totalWeight: Mass;
}

export interface AverageDailyGain {
  readonly ok: true;
  readonly days: number;
  readonly gainPerHead: Mass;
  /** Mass per head per day. */
  readonly dailyGain: Mass;
}

/**
 * Average daily gain between two weighings of the same cattle: (end − start) / days, per head. It may be negative:
 * cattle lose weight. Refused when there is no day between them or a weight is not above zero.
 */
export function averageDailyGain(input: {
  startDay: CalendarDay;
  startWeight: Mass;
  endDay: CalendarDay;
  endWeight: Mass;
}): AverageDailyGain | Refusal {
  const problems: Problem[] = [];
  for (const [field, day] of [
    ['startDay', input.startDay],
    ['endDay', input.endDay],
  ] as const) {
    if (!isCalendarDay(day))
      problems.push(problem('day-not-a-date', field, day, 'YYYY-MM-DD', `${day} is not a calendar day.`));
  }
  for (const [field, weight] of [
    ['startWeight', input.startWeight],
    ['endWeight', input.endWeight],
  ] as const) {
    if (!weight.isPositive())
      problems.push(
        problem('weight-not-positive', field, weight.toString(), 'more than 0 kg', 'A weight must be above zero.'),
      );
  }
  if (problems.length > 0) return refused(problems);
  const days = daysBetween(input.startDay, input.endDay);
  if (days <= 0) {
    return refused(
      problem(
        'no-days-between',
        'endDay',
        input.endDay,
        `after ${input.startDay}`,
        'A daily gain needs at least one day between two weighings.',
      ),
    );
  }
  const gainPerHead = input.endWeight.minus(input.startWeight);
  return { ok: true, days, gainPerHead, dailyGain: gainPerHead.dividedBy(days) };
}

/** Gain of so many head at a daily gain over so many days: head × days × gain. */
export function gainOverTime(input: { dailyGain: Mass; head: number; days: number }): Mass {
  if (!Number.isSafeInteger(input.head) || input.head < 0 || !Number.isSafeInteger(input.days) || input.days < 0) {
    throw new RangeError('Head and days are whole numbers, not below zero');
  }
  return input.dailyGain.times(input.head).times(input.days);
}

/** Cattle that joined or left a herd between its weighings, with their weight on that day. */
export interface WeightFlow {
  readonly day: CalendarDay;
  readonly direction: 'in' | 'out';
  readonly head: number;
  readonly totalWeight: Mass;
  /** A death is weight out too: the weight when last weighed or estimated. */
  readonly cause?: 'move' | 'sale' | 'death' | 'purchase' | undefined;
}

export interface HerdGain {
  readonly ok: true;
  readonly openingWeight: Mass;
  readonly closingWeight: Mass;
  readonly weightIn: Mass;
  readonly weightOut: Mass;
  /** Of the weight out, that of cattle that died. */
  readonly weightOfDead: Mass;
  /** Closing weight + weight out − weight in − opening weight; the dead at what they weighed ("deads out"). */
  readonly totalGain: Mass;
  /**
   * The same without the weight of the dead, which is no beef, though they ate ("deads in"). Both terms are of the
   * trade, from memory: no extension publication at hand defines them. Total cost over total gain: Nebraska Extension
   * G2095, 2023.
   */
  readonly gainDeadsIn: Mass;
  readonly headDays: number;
  /** Total gain / head-days: mass per head per day. */
  readonly dailyGain: Mass;
}

interface HerdPeriod {
  readonly opening: WeighIn;
  readonly closing: WeighIn;
  readonly flows: readonly WeightFlow[];
  readonly headDays: number;
}

/**
 * Gain of a herd with head flow: closing weight + weight out − weight in − opening weight, and the daily gain
 * over its head-days. (Pay-to-pay or weigh-to-weigh accounting of a pen; see Nebraska Extension G2095, 2023, for the
 * single animal.) Refused when there are no head-days, or when the head in and out do not lead from the opening to
 * the closing head.
 */
export function herdGain(input: HerdPeriod): HerdGain | Refusal {
  const { opening, closing, flows, headDays } = input;
  const days = [opening.day, closing.day, ...flows.map((flow) => flow.day)];
  const wrongDay = days.find((day) => !isCalendarDay(day));
  if (wrongDay !== undefined)
    return refused(problem('day-not-a-date', 'day', wrongDay, 'YYYY-MM-DD', `${wrongDay} is not a calendar day.`));
  const problems = herdProblems(input);
  if (problems.length > 0) return refused(problems);
  const weightOf = (direction: 'in' | 'out'): Mass =>
    Mass.sum(flows.filter((flow) => flow.direction === direction).map((flow) => flow.totalWeight));
  const [weightIn, weightOut] = [weightOf('in'), weightOf('out')];
  const weightOfDead = Mass.sum(flows.filter(isDeath).map((flow) => flow.totalWeight));
  const totalGain = closing.totalWeight.plus(weightOut).minus(weightIn).minus(opening.totalWeight);
  return {
    ok: true,
    openingWeight: opening.totalWeight,
    closingWeight: closing.totalWeight,
    weightIn,
    weightOut,
    weightOfDead,
    totalGain,
    gainDeadsIn: totalGain.minus(weightOfDead),
    headDays,
    dailyGain: totalGain.dividedBy(decimal(headDays)),
  };
}

function isDeath(flow: WeightFlow): boolean {
  return flow.direction === 'out' && flow.cause === 'death';
}

/** What became of cattle that came or went, in words. */
function howTheyWent({ direction, cause }: WeightFlow): string {
  switch (cause) {
    case 'death':
      return 'died';
    case 'sale':
      return 'went out by sale';
    case 'move':
      return direction === 'in' ? 'moved in' : 'moved out';
    case 'purchase':
      return 'came in by purchase';
    default:
      return direction === 'in' ? 'came in' : 'went out';
  }
}

/** What does not tie: the days, the head that came and went, flows without a weight. */
function herdProblems({ opening, closing, flows, headDays }: HerdPeriod): Problem[] {
  const problems: Problem[] = [];
  if (daysBetween(opening.day, closing.day) <= 0) {
    problems.push(
      problem(
        'no-days-between',
        'closing.day',
        closing.day,
        `after ${opening.day}`,
        'The closing weighing must come after the opening one.',
      ),
    );
  }
  if (!(headDays > 0))
    problems.push(
      problem('no-head-days', 'headDays', String(headDays), 'more than 0', 'Without head-days there is no daily gain.'),
    );
  problems.push(...flows.flatMap((flow, index) => flowProblems(flow, index, opening.day, closing.day)));
  const signed = flows.reduce((sum, flow) => sum + (flow.direction === 'in' ? flow.head : -flow.head), 0);
  if (opening.head + signed !== closing.head) {
    problems.push(
      problem(
        'head-does-not-tie',
        'closing.head',
        String(closing.head),
        String(opening.head + signed),
        `${opening.head} head at the opening and the head that came and went leave ${opening.head + signed}, ` +
          `but ${closing.head} were weighed.`,
      ),
    );
  }
  return problems;
}

function flowProblems(flow: WeightFlow, index: number, from: CalendarDay, until: CalendarDay): Problem[] {
  const problems: Problem[] = [];
  if (dayNumber(flow.day) < dayNumber(from) || dayNumber(flow.day) > dayNumber(until)) {
    problems.push(
      problem(
        'flow-outside-period',
        `flows[${index}].day`,
        flow.day,
        `${from} to ${until}`,
        'Cattle that moved outside the period do not belong to its gain.',
      ),
    );
  }
  if (!flow.totalWeight.isPositive()) {
    problems.push(
      problem(
        'flow-without-weight',
        `flows[${index}].totalWeight`,
        flow.totalWeight.toString(),
        'more than 0 kg',
        `${flow.head} head ${howTheyWent(flow)} on ${flow.day} without a weight.`,
      ),
    );
  }
  return problems;
}
