import { budgetIntake, sampledDays } from '../../core/budget/budget-intake.js';
import { intakeFromBodyWeight } from '../../core/budget/hay-need.js';
import { type BudgetFeedingMethod, FEEDING_WASTE_CHOICES } from '../../core/budget/loss-choices.data.js';
import {
  type BudgetLoss,
  ownFeedingWaste,
  publishedFeedingWaste,
  statedLoss,
  usualFeedingWaste,
} from '../../core/budget/loss-figures.js';
import type { HayKindCode } from '../../core/feeds/hay-kinds.data.js';
import { dietContextOf } from '../../core/judge/diet-context.js';
import { rationSupply } from '../../core/judge/ration-supply.js';
import type { DietContext } from '../../core/requirements/requirement-set.js';
import { rationLotOf } from '../../core/ration/ration-lot.js';
import type { RationLot } from '../../core/ration/ration.js';
import { headDays, type HeadEvent, headHistory, headOn } from '../../core/standing/head-days.js';
import type { HerdThroughTime } from '../../core/standing/herd-state.js';
import { addDays, daysBetween, monthSpans } from '../../core/time/calendar-day.js';
import { type Decimal, decimal, decimalFromFloat, decimalText, sumDecimals } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import { toBaseUnit } from '../../core/units/unit.js';
import type { FieldProblem } from '../../platform/http/problem.js';
import { toMass } from '../../platform/wire/quantity.schema.js';
import type { HerdRow } from '../../records/cattle/herds/herd.read.js';
import { massOf } from '../../records/cattle/standing/herd-state.read.js';
import type { UsualWeather } from '../../records/yard/weather-days/weather-day.read.js';
import type { HerdInput, IntakeOfMonth, KnownHay, LotInput } from './budget-inputs.js';
import type { PlanIn } from './hay-budget.schema.js';

/** A ration of any size will do: only the shares decide what the hay is like. */
const ANY_RATION_KG = 10;
const SHARE_PLACES = 12;
const MASS_PLACES = 6;

/** What a plan says of a herd. */
export type HerdTold = NonNullable<PlanIn['herds']>[number];

/** How a herd was last fed in the year before, and what was lost where that was measured. */
export interface FedBefore {
  lastMethod: string;
  measured: { fed: Mass; lost: Mass }[];
}

/** What the books know of a herd before the plan begins. */
export interface HerdKnown {
  herd: HerdRow;
  headEvents: HeadEvent[];
  /** What it is on any day of the plan: through calving, as heavy as its gain makes it. */
  throughTime: HerdThroughTime;
  fedBefore: FedBefore | undefined;
  /** As they were recorded on its ranch in the years before. */
  normals: ReadonlyMap<number, UsualWeather>;
}

/** The days of a budget. */
export interface BudgetSpan {
  /** The day from which the yard is fed. */
  from: string;
  /** The day after the last. */
  end: string;
  plan: PlanIn;
}

/** Notes what is wrong with a field of the plan, and which field of the herd's own is behind it, if one is. */
export type ReportProblem = (
  field: keyof HerdTold,
  problem: Omit<FieldProblem, 'pointer' | 'parameter'>,
  ofHerd?: { field: string; headDays: number },
) => undefined;

/** A herd in the budget; undefined where something is wrong, or where no cattle stand in it and none were asked for. */
export function herdInputOf(
  told: HerdTold,
  { herd, headEvents, throughTime, fedBefore, normals }: HerdKnown,
  { from, end, plan }: BudgetSpan,
  hay: KnownHay,
  report: ReportProblem,
): HerdInput | undefined {
  const events = plannedEvents(headEvents, told.head);
  const history = headHistory(events);
  const steps = history.ok ? history.steps : [];
  const headDaysInSpan = headDays(steps, from, end);
  if (headDaysInSpan === 0 && plan.herds === undefined) return undefined;
  const kinds = kindsOf(told.kinds, hay.lots);
  if (kinds === undefined)
    return report('kinds', {
      code: 'shares-do-not-add-up',
      given: decimalText(sumDecimals((told.kinds ?? []).map((kind) => decimal(kind.percent)))),
      allowed: '100',
      message: `The kinds of ${herd.name} do not add up to 100 %.`,
    });
  const mix = mixOf(kinds, hay);
  const waste = wasteOf(told.waste, fedBefore);
  if (typeof waste === 'string')
    return report(
      'waste',
      {
        code: 'waste-unknown',
        given: null,
        allowed: `a waste in %, or a way of feeding: ${Object.keys(FEEDING_WASTE_CHOICES).join(', ')}`,
        message: `${herd.name}: ${waste}`,
      },
      { field: 'waste', headDays: headDaysInSpan },
    );
  const intake = intakeOf(told.intake, { throughTime, normals }, plan, end, mix.lots);
  if ('refused' in intake)
    return report(
      'intake',
      {
        code: 'intake-not-predicted',
        given: herd.name,
        allowed: 'a share of body weight or a stated intake, where the equations give none',
        message: `${herd.name}: ${intake.refused}`,
      },
      { field: intake.field, headDays: headDaysInSpan },
    );
  const dryMatterStated = told.dryMatterPercent !== undefined;
  return {
    herd,
    headBasis: told.head === undefined ? 'history-carried-forward' : 'stated',
    headOnFirstDay: headOn(steps, from),
    headDays: headDaysInSpan,
    intakeBasis: intake.basis,
    intakeByMonth: intake.byMonth,
    intakeFrom: intake.from,
    dryMatter: told.dryMatterPercent === undefined ? mix.dryMatter : decimal(told.dryMatterPercent).div(100),
    dryMatterBasis: dryMatterStated ? 'stated in the plan' : mix.basis,
    restsOnBookValues: !dryMatterStated && mix.restsOnBookValues,
    waste,
    kinds,
    headEvents: events,
  };
}

/** The head history, or from its first day on a stated plan in its place. */
function plannedEvents(
  history: readonly HeadEvent[],
  stated: readonly { from: string; head: number }[] | undefined,
): HeadEvent[] {
  if (stated === undefined) return [...history];
  const steps = [...stated].sort((a, b) => (a.from < b.from ? -1 : 1));
  const first = steps[0]?.from ?? '';
  const before = history.filter((event) => event.day < first);
  const known = headHistory(before);
  let head = known.ok ? (known.steps.at(-1)?.head ?? 0) : 0;
  return [
    ...before,
    ...steps.flatMap((step): HeadEvent[] => {
      const difference = step.head - head;
      head = step.head;
      return difference === 0
        ? []
        : [{ day: step.from, kind: difference > 0 ? 'in' : 'out', head: Math.abs(difference) }];
    }),
  ];
}

/** Shares of the kinds that are fed, as told or as they lie in the yard; with an empty yard, meadow hay. */
function kindsOf(
  told: readonly { hayKind: string; percent: string }[] | undefined,
  lots: readonly LotInput[],
): { hayKind: string; share: Decimal }[] | undefined {
  if (told !== undefined) {
    const kinds = told.map((one) => ({ hayKind: one.hayKind, share: decimal(one.percent).div(100) }));
    return sumDecimals(kinds.map((one) => one.share)).eq(1) ? kinds : undefined;
  }
  const total = Mass.sum(lots.map((lot) => lot.balance));
  if (!total.isPositive()) return [{ hayKind: 'meadow', share: decimal(1) }];
  const names = [...new Set(lots.map((lot) => lot.row.hay_kind))];
  const shares = names.map((hayKind) => ({
    hayKind,
    share: Mass.sum(lots.filter((lot) => lot.row.hay_kind === hayKind).map((lot) => lot.balance))
      .ratioTo(total)
      .toDecimalPlaces(SHARE_PLACES),
  }));
  // The last kind takes the crumb of the rounding, so that the shares are one.
  return shares.map((one, index) =>
    index === shares.length - 1
      ? { ...one, share: decimal(1).minus(sumDecimals(shares.slice(0, -1).map((each) => each.share))) }
      : one,
  );
}

/** What the hay of these kinds is like: the lots on hand by their weight, or a book value where a kind has none. */
function mixOf(
  kinds: readonly { hayKind: string; share: Decimal }[],
  hay: KnownHay,
): { lots: { lot: RationLot; share: number }[]; dryMatter: Decimal; basis: string; restsOnBookValues: boolean } {
  const lots = kinds
    .flatMap(({ hayKind, share }) => {
      const own = hay.lots.filter((lot) => lot.row.hay_kind === hayKind);
      const total = Mass.sum(own.map((lot) => lot.balance));
      if (own.length === 0)
        return [
          {
            lot: rationLotOf({ lotId: hayKind, lotName: hayKind, hayKind: hayKind as HayKindCode, tests: [] }),
            share: share.toNumber(),
          },
        ];
      return own.flatMap((lot) => {
        const found = hay.rationLots.get(lot.row.id);
        return found === undefined ? [] : [{ lot: found, share: share.times(lot.balance.ratioTo(total)).toNumber() }];
      });
    })
    .filter((one) => one.share > 0);
  const percent = lots.reduce((sum, one) => sum + one.share * one.lot.dryMatterPercent.value, 0);
  const restsOnBookValues = lots.some((one) => one.lot.dryMatterPercent.origin === 'book-value');
  return {
    lots,
    dryMatter: decimalFromFloat(percent / 100, MASS_PLACES),
    basis: restsOnBookValues
      ? 'lots on hand by weight; book values where there is no test'
      : 'lab tests of the lots on hand, by weight',
    restsOnBookValues,
  };
}

function wasteOf(told: HerdTold['waste'], before: FedBefore | undefined): BudgetLoss | string {
  if (told?.basis === 'stated') return statedLoss(decimal(told.percent).div(100), 'stated in the plan');
  const published = (method: string): BudgetLoss | string =>
    method in FEEDING_WASTE_CHOICES
      ? publishedFeedingWaste(method as BudgetFeedingMethod)
      : `No waste is published for the way of feeding "${method}"; state one.`;
  if (told?.basis === 'method') return published(told.method);
  const own = ownFeedingWaste(before?.measured ?? []);
  if (own !== null) return own;
  if (told?.basis === 'own-feedings') return 'No feeding of the last year has refusals or waste weighed.';
  return before !== undefined && before.lastMethod in FEEDING_WASTE_CHOICES
    ? published(before.lastMethod)
    : usualFeedingWaste();
}

type Intake = { basis: string; from: HerdInput['intakeFrom']; byMonth: IntakeOfMonth[] } | Refused;

/** Why there is no intake, and the herd's field that stands in the way. */
interface Refused {
  refused: string;
  field: string;
}

function intakeOf(
  told: HerdTold['intake'],
  { throughTime, normals }: Pick<HerdKnown, 'throughTime' | 'normals'>,
  plan: PlanIn,
  end: string,
  lots: readonly { lot: RationLot; share: number }[],
): Intake {
  const spans = monthSpans(plan.from, end);
  const everyMonth = (mass: Mass) =>
    spans.map(({ month }) => ({ month, dryMatterIntakePerHeadDay: mass, weather: null }));
  if (told.basis === 'stated')
    return { basis: 'stated in the plan', from: 'stated', byMonth: everyMonth(toMass(told.dryMatter)) };
  if (told.basis === 'percent-of-body-weight') {
    const bodyWeight =
      told.bodyWeight === undefined ? massOf(throughTime.on(plan.from).weight.kg) : toMass(told.bodyWeight);
    return {
      basis: `${told.percent} % of body weight`,
      from: 'stated',
      byMonth: everyMonth(intakeFromBodyWeight({ bodyWeight, share: decimal(told.percent).div(100) })),
    };
  }
  const diet = dietContextOf(
    rationSupply({
      layers: [
        { role: 'mixed', lots: lots.map(({ lot, share }) => ({ lot, asFedKgPerHeadPerDay: share * ANY_RATION_KG })) },
      ],
    }),
  );
  return predictedByMonth(throughTime, diet, plan, end, normals);
}

/** By the equations: the mean over the weeks of each month, through calving and growth, in the weather of the month. */
function predictedByMonth(
  throughTime: HerdThroughTime,
  diet: DietContext,
  plan: PlanIn,
  end: string,
  normals: HerdKnown['normals'],
): Intake {
  const byMonth: IntakeOfMonth[] = [];
  let corrected = false;
  for (const span of monthSpans(plan.from, end)) {
    const weather = weatherOf(span.month, plan, normals);
    const conditions = {
      edition: plan.edition,
      diet,
      ...(weather === null ? {} : { weather: { temperatureC: weather.celsius } }),
    };
    const days = sampledDays(daysBetween(span.from, span.until));
    let sum = 0;
    for (const after of days) {
      const eaten = budgetIntake(throughTime.on(addDays(span.from, after)).parts, conditions);
      if (!eaten.ok)
        return {
          refused: eaten.problems.map((one) => one.message).join(' '),
          field: eaten.problems[0]?.field ?? 'intake',
        };
      sum += eaten.value.dryMatterKgPerDay;
      corrected ||= eaten.value.corrected.dry + eaten.value.corrected.lactating > 0;
    }
    byMonth.push({
      month: span.month,
      dryMatterIntakePerHeadDay: Mass.kilograms(decimalFromFloat(sum / days.length, MASS_PLACES)),
      weather,
    });
  }
  return {
    basis:
      `predicted week by week by the requirement equations (${plan.edition}) on this hay` +
      (corrected ? ', corrected for cows' : ''),
    from: corrected ? 'corrected-equations' : 'equations',
    byMonth,
  };
}

/** The weather that a month is planned with: as the plan states it, else as it was recorded in the years before. */
function weatherOf(
  month: string,
  { monthlyTemperatures }: PlanIn,
  normals: HerdKnown['normals'],
): IntakeOfMonth['weather'] {
  const ofYear = Number(month.slice(5, 7));
  const stated = monthlyTemperatures?.find((one) => one.month === ofYear);
  if (stated !== undefined)
    return { celsius: toBaseUnit(Number(stated.temperature.value), stated.temperature.unit), from: 'stated' };
  const recorded = normals.get(ofYear);
  return recorded === undefined ? null : { celsius: recorded.temperatureC, from: 'recorded' };
}
