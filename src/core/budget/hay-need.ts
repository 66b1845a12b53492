import { compareDays, type CalendarDay } from '../time/calendar-day.js';
import { headDays, headHistory, type HeadEvent, type HeadHistory, stepsFrom } from '../standing/head-days.js';
import { monthSpans } from '../time/calendar-day.js';
import { type Decimal, decimal } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import { type Refusal, refused } from '../outcome/outcome.js';
import { problem, type Problem } from '../outcome/problem.js';
import { DEFAULT_WASTE_CONVENTION, WASTE_CONVENTIONS, type WasteConvention } from './waste-conventions.data.js';

/** A share, 0 to 1, as decimal text or a decimal: 0.08 is 8 %. */
export type Share = string | Decimal;

export interface HayNeed {
  readonly ok: true;
  readonly headDays: Decimal;
  readonly dryMatterEaten: Mass;
  readonly asFedEaten: Mass;
  readonly wasted: Mass;
  /** What must be put out, as fed, waste included. */
  readonly needed: Mass;
  readonly wasteConvention: WasteConvention;
  readonly wasteConventionSource: string;
}

/**
 * Hay needed for head-days: head-days × dry-matter intake ÷ dry matter, then waste by the named convention.
 * Sources: Iowa Beef Center (divide by 1 − waste) and University of Missouri Extension (multiply by 1 + waste); see
 * `WASTE_CONVENTIONS`. Dry matter is a share above 0 and up to 1; waste 0 up to (divisor) below 1.
 */
export function hayNeed(input: {
  headDays: number | Decimal;
  dryMatterIntakePerHeadDay: Mass;
  dryMatter: Share;
  waste: Share;
  wasteConvention?: WasteConvention;
}): HayNeed | Refusal {
  const wasteConvention = input.wasteConvention ?? DEFAULT_WASTE_CONVENTION;
  const dryMatter = decimal(input.dryMatter);
  const waste = decimal(input.waste);
  const count = decimal(input.headDays);
  const problems: Problem[] = [];
  if (count.lt(0))
    problems.push(
      problem('head-days-negative', 'headDays', count.toFixed(), '0 or more', 'Head-days cannot be below zero.'),
    );
  if (input.dryMatterIntakePerHeadDay.isNegative())
    problems.push(
      problem(
        'intake-negative',
        'dryMatterIntakePerHeadDay',
        input.dryMatterIntakePerHeadDay.toString(),
        '0 kg or more',
        'Intake cannot be below zero.',
      ),
    );
  if (dryMatter.lte(0) || dryMatter.gt(1))
    problems.push(
      problem(
        'dry-matter-out-of-range',
        'dryMatter',
        dryMatter.toFixed(),
        'above 0, at most 1',
        'Dry matter is a share of the hay as fed.',
      ),
    );
  if (waste.lt(0) || waste.gte(1))
    problems.push(
      problem('waste-out-of-range', 'waste', waste.toFixed(), '0 to below 1', 'Waste is a share: 0.08 is 8 %.'),
    );
  if (problems.length > 0) return refused(problems);
  const dryMatterEaten = input.dryMatterIntakePerHeadDay.times(count);
  const asFedEaten = dryMatterEaten.dividedBy(dryMatter);
  const needed =
    wasteConvention === 'divisor'
      ? asFedEaten.dividedBy(decimal(1).minus(waste))
      : asFedEaten.times(decimal(1).plus(waste));
  return {
    ok: true,
    headDays: count,
    dryMatterEaten,
    asFedEaten,
    needed,
    wasted: needed.minus(asFedEaten),
    wasteConvention,
    wasteConventionSource: WASTE_CONVENTIONS[wasteConvention].source,
  };
}

/** Dry-matter intake as a share of body weight: 0.025 × 1400 lb = 35 lb. */
export function intakeFromBodyWeight(input: { bodyWeight: Mass; share: Share }): Mass {
  return input.bodyWeight.times(decimal(input.share));
}

/** A herd's feeding over a period; shares of its hay by kind add up to 1. */
export interface HerdPlan {
  readonly herdId: string;
  readonly headEvents: readonly HeadEvent[];
  /** Days before this one are fed already and take no hay (`firstDayToFeed`). */
  readonly feedsFrom?: CalendarDay;
  readonly dryMatterIntakePerHeadDay: Mass;
  /**
   * Where what is fed changes as cattle grow, calving nears or the ration changes: the mean of a month ('YYYY-MM');
   * other months, and what a month leaves out, are as for the whole plan.
   */
  readonly ofMonths?: readonly {
    readonly month: string;
    readonly dryMatterIntakePerHeadDay: Mass;
    readonly dryMatter?: Share;
    readonly kinds?: HerdPlan['kinds'];
  }[];
  readonly dryMatter: Share;
  readonly waste: Share;
  readonly wasteConvention?: WasteConvention;
  /** Hay kinds and their shares of what is fed. */
  readonly kinds: readonly { readonly hayKind: string; readonly share: Share }[];
}

/** A herd as it is fed in a month. */
export function herdInMonth(herd: HerdPlan, month: string): HerdPlan {
  return { ...herd, ...herd.ofMonths?.find((each) => each.month === month) };
}

/** The head of a herd that are still to be fed. */
export function headToFeed({ headEvents, feedsFrom }: Pick<HerdPlan, 'headEvents' | 'feedsFrom'>): HeadHistory {
  const history = headHistory(headEvents);
  return history.ok && feedsFrom !== undefined ? { ok: true, steps: stepsFrom(history.steps, feedsFrom) } : history;
}

export interface PeriodNeed {
  readonly ok: true;
  readonly from: CalendarDay;
  readonly until: CalendarDay;
  readonly rows: readonly {
    readonly herdId: string;
    readonly month: string;
    readonly headDays: number;
    readonly dryMatterEaten: Mass;
    readonly wasted: Mass;
    readonly needed: Mass;
    readonly byKind: readonly { readonly hayKind: string; readonly needed: Mass }[];
  }[];
  readonly byKind: readonly { readonly hayKind: string; readonly needed: Mass }[];
  readonly total: Mass;
}

/** The hay that herds need over [from, until), by herd, month and kind, from their head histories. */
export function periodHayNeed(input: {
  herds: readonly HerdPlan[];
  from: CalendarDay;
  until: CalendarDay;
}): PeriodNeed | Refusal {
  const { from, until } = input;
  if (compareDays(from, until) >= 0) {
    return refused(problem('span-reversed', 'until', until, `after ${from}`, 'The budget must end after it begins.'));
  }
  const rows: PeriodNeed['rows'][number][] = [];
  const byKind = new Map<string, Mass>();
  for (const [index, herd] of input.herds.entries()) {
    const wrong = [herd, ...(herd.ofMonths ?? [])].flatMap(({ kinds }) =>
      kinds === undefined ? [] : kindsProblems(herd.herdId, kinds),
    );
    if (wrong.length > 0) return refused(wrong.map((one) => ({ ...one, field: `herds[${index}].${one.field}` })));
    const history = headToFeed(herd);
    if (!history.ok)
      return refused(
        history.problems.map((found) => ({
          ...found,
          field: `herds[${index}].${found.field}`,
          given: String(found.given),
        })),
      );
    for (const span of monthSpans(from, until)) {
      const count = headDays(history.steps, span.from, span.until);
      const fed = herdInMonth(herd, span.month);
      const need = hayNeed({ ...fed, headDays: count });
      if (!need.ok)
        return refused(need.problems.map((found) => ({ ...found, field: `herds[${index}].${found.field}` })));
      const kinds = fed.kinds.map((kind) => ({
        hayKind: kind.hayKind,
        needed: need.needed.times(decimal(kind.share)),
      }));
      for (const { hayKind, needed } of kinds) byKind.set(hayKind, (byKind.get(hayKind) ?? Mass.zero).plus(needed));
      rows.push({
        herdId: herd.herdId,
        month: span.month,
        headDays: count,
        dryMatterEaten: need.dryMatterEaten,
        wasted: need.wasted,
        needed: need.needed,
        byKind: kinds,
      });
    }
  }
  return {
    ok: true,
    from,
    until,
    rows,
    byKind: [...byKind].map(([hayKind, needed]) => ({ hayKind, needed })),
    total: Mass.sum(rows.map((row) => row.needed)),
  };
}

function kindsProblems(herdId: string, kinds: HerdPlan['kinds']): Problem[] {
  const shares = kinds.reduce((sum, kind) => sum.plus(decimal(kind.share)), decimal(0));
  return shares.eq(1) && !kinds.some((kind) => decimal(kind.share).isNegative())
    ? []
    : [
        problem(
          'shares-do-not-add-up',
          'kinds',
          shares.toFixed(),
          '1',
          `The hay kinds of herd ${herdId} add up to ${shares.toFixed()}.`,
        ),
      ];
}
