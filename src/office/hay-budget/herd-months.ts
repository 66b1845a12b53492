import { budgetIntake, sampledDays } from '../../core/budget/budget-intake.js';
import { intakeFromBodyWeight } from '../../core/budget/hay-need.js';
import type { BudgetLoss } from '../../core/budget/loss-figures.js';
import { dietContextOf } from '../../core/judge/diet-context.js';
import { rationSupply } from '../../core/judge/ration-supply.js';
import type { Outcome } from '../../core/outcome/outcome.js';
import type { DietContext } from '../../core/requirements/requirement-set.js';
import type { RationLot } from '../../core/ration/ration.js';
import { dayOfMonth } from '../../core/season/days-to-feed.js';
import { headDays, headOn, type HeadStep, stepsFrom } from '../../core/standing/head-days.js';
import { addDays, daysBetween, monthSpans, type MonthSpan } from '../../core/time/calendar-day.js';
import { type Decimal, decimal, decimalFromFloat, sumDecimals } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import { toBaseUnit } from '../../core/units/unit.js';
import {
  coldLeftOutOf,
  conditionsOf,
  type JudgedWaste,
  type JudgeOptions,
  needOf,
  USUAL_JUDGING,
  wastedOf,
} from '../../desk/judge/ration-judge.js';
import type { HerdFacts, HerdOnDay } from '../../desk/facts/herd-facts.js';
import { type LaidRation, massOfKilograms, type RationRow } from '../../desk/facts/ration-content.js';
import { rationPlannedOn } from '../../desk/facts/ration-of-day.js';
import { statedWeather } from '../../desk/facts/weather-choice.js';
import { toMass } from '../../platform/wire/quantity.schema.js';
import type { HerdInput, IntakeOfMonth } from './budget-inputs.js';
import type { StatedHerd } from './herd-input.js';
import type { PlanIn } from './hay-budget.schema.js';

/** A ration of any size will do: only the shares decide the composition. */
const ANY_RATION_KG = 10;
const MASS_PLACES = 6;
const SHARE_PLACES = 12;

/** A ration that was put into use, and how it is laid. */
export interface PlannedRation {
  row: RationRow;
  /** Not gathered where no herd of the plan eats by its ration. */
  laid?: Outcome<LaidRation>;
}

/** What a herd's months are computed from. */
export interface HerdThroughPlan {
  name: string;
  onDay: (day: string) => HerdOnDay;
  /** On the eve of the first day, with what it was fed up to then. */
  before: HerdFacts;
  steps: readonly HeadStep[];
  /** The first day of the plan whose hay is still to be laid. */
  feedsFrom: string;
  rations: readonly PlannedRation[];
  plan: PlanIn;
  end: string;
  lots: readonly { lot: RationLot; share: number }[];
  waste: BudgetLoss;
}

export type Intake =
  | {
      basis: string;
      from: HerdInput['intakeFrom'];
      byMonth: IntakeOfMonth[];
      dryMatter?: Decimal;
      /** The hay of the rations themselves, where they decide what is fed. */
      fed?: FedByRations;
    }
  | Refused;

interface FedByRations extends Pick<HerdInput, 'restsOnBookValues'> {
  /** Left out where the rations hold no hay. */
  kinds?: HerdInput['kinds'];
}

/** Why there is no intake, and the herd's field that is to blame. */
interface Refused {
  refused: string;
  field: string;
}

/** Shares of the kinds in order; the last takes the rounding error, so that they add up to one. */
export function sharesOf(amounts: ReadonlyMap<string, Mass>): { hayKind: string; share: Decimal }[] {
  const total = Mass.sum([...amounts.values()]);
  const shares = [...amounts].map(([hayKind, mass]) => ({
    hayKind,
    share: mass.ratioTo(total).toDecimalPlaces(SHARE_PLACES),
  }));
  return shares.map((one, index) =>
    index === shares.length - 1
      ? { ...one, share: decimal(1).minus(sumDecimals(shares.slice(0, -1).map((each) => each.share))) }
      : one,
  );
}

/** What a head eats, or is laid, in each month of a plan, and the herd on the day that represents the month. */
export function intakeOf(stated: StatedHerd['intake'], herd: HerdThroughPlan): Intake {
  const { plan, onDay } = herd;
  if (stated.basis === 'ration-in-use') return laidByMonth(herd);
  const diet = dietOf(herd);
  if (stated.basis === 'equations') return predictedByMonth(herd, diet);
  const everyMonth = (mass: Mass): IntakeOfMonth[] =>
    spansOf(herd).map((span) => ({ ...standingOfMonth(span, herd, diet), dryMatterIntakePerHeadDay: mass }));
  if (stated.basis === 'stated')
    return { basis: 'stated in the plan', from: 'stated', byMonth: everyMonth(toMass(stated.dryMatter)) };
  const bodyWeight =
    stated.bodyWeight === undefined ? onDay(plan.from).standing.weight.mass : toMass(stated.bodyWeight);
  return {
    basis: `${stated.percent} % of body weight`,
    from: 'stated',
    byMonth: everyMonth(intakeFromBodyWeight({ bodyWeight, share: decimal(stated.percent).div(100) })),
  };
}

const spansOf = ({ plan, end }: HerdThroughPlan): MonthSpan[] => monthSpans(plan.from, end);

/** The hay of the budget as a diet. */
function dietOf({ lots }: HerdThroughPlan): DietContext {
  const fed = lots.map(({ lot, share }) => ({ lot, asFedKgPerHeadPerDay: share * ANY_RATION_KG }));
  return dietContextOf(rationSupply({ layers: [{ role: 'mixed', lots: fed }] }));
}

const optionsOf = ({ edition }: PlanIn): JudgeOptions => ({ ...USUAL_JUDGING, edition });

/** A herd on a day, in the weather that the plan states for the month or else in the usual weather. */
function plannedOn({ onDay, plan }: HerdThroughPlan, day: string): HerdOnDay {
  const temperatureC = statedIn(plan, day);
  if (temperatureC === null) return onDay(day);
  const facts = onDay(day);
  return {
    ...facts,
    weather: statedWeather(
      day,
      { temperatureC, windKmPerHour: null, mudDepthCm: null, coat: 'clean-and-dry' },
      facts.usedToC ?? statedIn(plan, addDays(`${day.slice(0, 7)}-01`, -1)),
    ),
  };
}

/** The temperature that a plan states for the month of a day, °C. */
function statedIn({ monthlyTemperatures }: PlanIn, day: string): number | null {
  const stated = monthlyTemperatures?.find((one) => one.month === Number(day.slice(5, 7)));
  return stated === undefined ? null : toBaseUnit(Number(stated.temperature.value), stated.temperature.unit);
}

/** The herd on the day that the month is judged on, and its need then. */
function standingOfMonth(
  span: MonthSpan,
  herd: HerdThroughPlan,
  diet: DietContext,
): Omit<IntakeOfMonth, 'dryMatterIntakePerHeadDay'> {
  const { month } = span;
  const onDay = dayOfMonth(span);
  const facts = plannedOn(herd, onDay);
  const need = needOf(facts, optionsOf(herd.plan), { diet });
  return {
    month,
    onDay,
    head: headOn(herd.steps, onDay),
    bodyWeight: facts.standing.weight.mass,
    need: need.ok ? need.value : null,
    weather: facts.weather,
    coldLeftOut: coldLeftOutOf(facts, optionsOf(herd.plan), diet),
    ration: null,
  };
}

/** By the equations: the mean over the weeks of each month, through calving and growth, in the weather of the month. */
function predictedByMonth(herd: HerdThroughPlan, diet: DietContext): Intake {
  const byMonth: IntakeOfMonth[] = [];
  let corrected = false;
  for (const span of spansOf(herd)) {
    const days = sampledDays(daysBetween(span.from, span.until));
    let sum = 0;
    let before = 0;
    let raised = false;
    for (const after of days) {
      const facts = plannedOn(herd, addDays(span.from, after));
      const eaten = budgetIntake(facts.standing.parts, { ...conditionsOf(facts, optionsOf(herd.plan)), diet });
      if (!eaten.ok)
        return {
          refused: eaten.problems.map((one) => one.message).join(' '),
          field: eaten.problems[0]?.field ?? 'intake',
        };
      sum += eaten.value.dryMatterKgPerDay;
      before += eaten.value.beforeKgPerDay;
      raised ||= eaten.value.corrected.dry + eaten.value.corrected.lactating > 0;
    }
    corrected ||= raised;
    byMonth.push({
      ...standingOfMonth(span, herd, diet),
      dryMatterIntakePerHeadDay: Mass.kilograms(decimalFromFloat(sum / days.length, MASS_PLACES)),
      ...(raised ? { beforeCorrectionKgPerDay: before / days.length } : {}),
    });
  }
  return {
    basis:
      `predicted week by week by the requirement equations (${herd.plan.edition}) on this hay` +
      (corrected ? ', corrected for cows' : ''),
    from: corrected ? 'corrected-equations' : 'equations',
    byMonth,
  };
}

/** By the rations in use: hay laid, as the season plan counts it, less waste. */
function laidByMonth(herd: HerdThroughPlan): Intake {
  const byMonth: IntakeOfMonth[] = [];
  const rations: { laid: LaidRation; headDays: number }[] = [];
  for (const span of spansOf(herd)) {
    const onDay = dayOfMonth(span);
    const found = rationPlannedOn(
      herd.rations.map((one) => one.row),
      onDay,
    );
    const laid = herd.rations.find((one) => one.row === found?.row)?.laid;
    if (found === undefined || laid === undefined)
      return {
        refused: 'No ration of this herd was put to use; put one to use, or use another intake.',
        field: 'rations',
      };
    if (!laid.ok) return { refused: laid.problems.map((one) => one.message).join(' '), field: 'rations' };
    const judged = judgedWasteOf(herd.before, herd.plan, found.row);
    const diet = dietContextOf(rationSupply({ layers: laid.value.layers, wastedShare: judged.share }));
    rations.push({
      laid: laid.value,
      headDays: headDays(stepsFrom(herd.steps, herd.feedsFrom), span.from, span.until),
    });
    byMonth.push({
      ...standingOfMonth(span, herd, diet),
      ...hayOf(laid.value, herd),
      ration: { id: found.row.id, name: found.row.name, carriedForward: found.carriedForward },
    });
  }
  const first = byMonth[0]?.dryMatter;
  return {
    basis: 'the ration in use',
    from: 'ration',
    byMonth,
    fed: fedBy(rations),
    ...(first === undefined ? {} : { dryMatter: first }),
  };
}

/** What the judge takes off on the eve of the plan: what was measured, or what the ration states of itself. */
export function judgedWasteOf(before: HerdFacts, plan: PlanIn, ration: RationRow | undefined): JudgedWaste {
  const percent = ration?.wasted_percent ?? null;
  return wastedOf(before, {
    ...optionsOf(plan),
    statedWastedShare: percent === null ? null : Number(percent) / 100,
    fedAtPresent: true,
  });
}

const hayIn = ({ parts }: LaidRation): LaidRation['parts'] => parts.filter(({ facts }) => facts.row.category === 'hay');

/** Kinds of hay that the rations take over all their months, by weight; and whether any of it has no test. */
function fedBy(rations: readonly { laid: LaidRation; headDays: number }[]): FedByRations {
  const amounts = new Map<string, Mass>();
  for (const { laid, headDays: times } of rations)
    for (const { facts, asFedKgPerHead } of hayIn(laid))
      amounts.set(
        facts.row.hay_kind,
        (amounts.get(facts.row.hay_kind) ?? Mass.zero).plus(massOfKilograms(asFedKgPerHead).times(String(times))),
      );
  return {
    ...(Mass.sum([...amounts.values()]).isPositive() ? { kinds: sharesOf(amounts) } : {}),
    restsOnBookValues: rations.some(({ laid }) =>
      hayIn(laid).some(({ facts }) => facts.lot.dryMatterPercent.origin === 'book-value'),
    ),
  };
}

/** The hay of a laid ration, by kind; mineral and other feeds are not part of a hay budget. */
function hayOf(
  ration: LaidRation,
  { plan, waste }: HerdThroughPlan,
): Pick<IntakeOfMonth, 'dryMatterIntakePerHeadDay' | 'dryMatter' | 'kinds'> {
  const hay = hayIn(ration);
  const amounts = new Map<string, Mass>();
  for (const { facts, asFedKgPerHead } of hay)
    amounts.set(
      facts.row.hay_kind,
      (amounts.get(facts.row.hay_kind) ?? Mass.zero).plus(massOfKilograms(asFedKgPerHead)),
    );
  const laid = Mass.sum([...amounts.values()]);
  if (!laid.isPositive()) return { dryMatterIntakePerHeadDay: Mass.zero };
  const dryKg = hay.reduce((sum, one) => sum + (one.asFedKgPerHead * one.facts.lot.dryMatterPercent.value) / 100, 0);
  const dryMatter = decimalFromFloat(dryKg / laid.kilograms.toNumber(), MASS_PLACES);
  const dry = laid.times(dryMatter);
  return {
    dryMatterIntakePerHeadDay:
      plan.wasteConvention === 'divisor'
        ? dry.times(decimal(1).minus(waste.typical))
        : dry.dividedBy(decimal(1).plus(waste.typical)),
    dryMatter,
    kinds: sharesOf(amounts),
  };
}
