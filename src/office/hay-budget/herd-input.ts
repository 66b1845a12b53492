import { type BudgetFeedingMethod, FEEDING_WASTE_CHOICES } from '../../core/budget/loss-choices.data.js';
import {
  type BudgetLoss,
  measuredFeedingWaste,
  publishedFeedingWaste,
  statedLoss,
  usualFeedingWaste,
} from '../../core/budget/loss-figures.js';
import type { HayKindCode } from '../../core/feeds/hay-kinds.data.js';
import { rationLotOf } from '../../core/ration/ration-lot.js';
import type { RationLot } from '../../core/ration/ration.js';
import { daysBetween } from '../../core/time/calendar-day.js';
import { headToFeed } from '../../core/budget/hay-need.js';
import {
  headDays,
  type HeadEvent,
  type HeadHistory,
  headHistory,
  headOn,
  type HeadStep,
} from '../../core/standing/head-days.js';
import { type Decimal, decimal, decimalFromFloat, decimalText, sumDecimals } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import type { Words } from '../../core/units/wording.js';
import type { HerdFacts } from '../../desk/facts/herd-facts.js';
import { rationInUseOn, rationPlannedOn } from '../../desk/facts/ration-of-day.js';
import type { JudgedWaste } from '../../desk/judge/ration-judge.js';
import type { FieldProblem } from '../../platform/http/problem.js';
import type { HerdRow } from '../../records/cattle/herds/herd.read.js';
import { type HerdInput, type KnownHay, type LotInput, OWN_FIGURES_DAYS } from './budget-inputs.js';
import { type HerdThroughPlan, intakeOf, judgedWasteOf, type PlannedRation, sharesOf } from './herd-months.js';
import type { PlanIn } from './hay-budget.schema.js';

const MASS_PLACES = 6;

/** What a plan says about a herd. */
export type StatedHerd = NonNullable<PlanIn['herds']>[number];

/** What the books know about a herd before the plan begins. */
export interface HerdKnown {
  herd: HerdRow;
  headEvents: HeadEvent[];
  /** The first day of the plan whose hay is still to be laid. */
  feedsFrom: string;
  /** The herd on any day of the plan, as all judgements see it, in the usual weather of the month. */
  onDay: HerdThroughPlan['onDay'];
  /** On the eve of the first day that is fed, with what it was fed up to then. */
  before: HerdFacts;
  /** Rations put into use, oldest first; laid out where the plan stands on them. */
  rations: readonly PlannedRation[];
}

/** The days of a budget. */
export interface BudgetSpan {
  /** The day that feeding starts from. */
  from: string;
  /** The day after the last. */
  end: string;
  plan: PlanIn;
  today: string;
}

/** Reports a problem with a field of the plan and, if there is one, the herd's own field behind it. */
export type ReportProblem = (
  field: keyof StatedHerd,
  problem: Omit<FieldProblem, 'pointer' | 'parameter'>,
  ofHerd?: { field: string; headDays: number },
) => undefined;

/** A herd in the budget; undefined if something is wrong, or if it has no cattle and was not asked for. */
export function herdInputOf(
  stated: StatedHerd,
  { herd, feedsFrom, onDay, before, rations, ...known }: HerdKnown,
  { from, end, plan }: BudgetSpan,
  hay: KnownHay,
  report: ReportProblem,
): HerdInput | undefined {
  const headEvents = plannedEvents(known.headEvents, stated.head);
  const steps = stepsOf(headHistory(headEvents));
  if (headDays(steps, from, end) === 0 && plan.herds === undefined) return undefined;
  const headDaysInSpan = headDays(stepsOf(headToFeed({ headEvents, feedsFrom })), from, end);
  const kinds = kindsOf(stated.kinds, hay.lots);
  if (kinds === undefined)
    return report('kinds', {
      code: 'shares-do-not-add-up',
      given: decimalText(sumDecimals((stated.kinds ?? []).map((kind) => decimal(kind.percent)))),
      allowed: '100',
      message: `The kinds of ${herd.name} do not add up to 100 %.`,
    });
  const mix = mixOf(kinds, hay);
  if (saidBesideTheRation(stated, herd, report)) return undefined;
  const { waste, note } = wasteOf(stated, { before, rations }, { from, plan });
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
  const through = { name: herd.name, onDay, before, steps, feedsFrom, rations, plan, end, waste, lots: mix.lots };
  const intake = intakeOf(stated.intake, through);
  if ('refused' in intake)
    return report(
      'intake',
      {
        code: 'intake-not-predicted',
        given: herd.name,
        allowed: 'another intake: by the equations, the ration in use, a share of body weight or stated',
        message: `${herd.name}: ${intake.refused}`,
      },
      { field: intake.field, headDays: headDaysInSpan },
    );
  const dryMatterStated = stated.dryMatterPercent !== undefined;
  return {
    herd,
    headBasis: stated.head === undefined ? 'history-carried-forward' : 'stated',
    headOnFirstDay: headOn(steps, from),
    headDays: headDaysInSpan,
    intakeBasis: intake.basis,
    intakeByMonth: intake.byMonth,
    intakeFrom: intake.from,
    dryMatter:
      stated.dryMatterPercent === undefined
        ? (intake.dryMatter ?? mix.dryMatter)
        : decimal(stated.dryMatterPercent).div(100),
    dryMatterBasis: dryMatterStated ? 'stated in the plan' : intake.from === 'ration' ? 'the ration in use' : mix.basis,
    restsOnBookValues: !dryMatterStated && (intake.fed ?? mix).restsOnBookValues,
    waste,
    ...(note === undefined ? {} : { wasteNote: note }),
    kinds: intake.fed?.kinds ?? kinds,
    headEvents,
    feedsFrom,
  };
}

const stepsOf = (history: HeadHistory): readonly HeadStep[] => (history.ok ? history.steps : []);

/** A plan based on the ration in use may not give what the ration already says. */
function saidBesideTheRation(stated: StatedHerd, { name }: HerdRow, report: ReportProblem): boolean {
  if (stated.intake.basis !== 'ration-in-use') return false;
  const said = (['kinds', 'dryMatterPercent', 'waste'] as const).find((field) => stated[field] !== undefined);
  if (said === undefined) return false;
  report(said, {
    code: 'said-by-the-ration',
    given: stated[said],
    allowed: 'nothing beside the ration in use',
    message: `The ration in use of ${name} says its hay, its dry matter and its waste.`,
  });
  return true;
}

/** The head history, replaced by a stated plan from its first day on. */
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

/** Shares of the kinds of hay fed, as given or as on hand; with no hay on hand, meadow hay. */
function kindsOf(
  stated: readonly { hayKind: string; percent: string }[] | undefined,
  lots: readonly LotInput[],
): { hayKind: string; share: Decimal }[] | undefined {
  if (stated !== undefined) {
    const kinds = stated.map((one) => ({ hayKind: one.hayKind, share: decimal(one.percent).div(100) }));
    return sumDecimals(kinds.map((one) => one.share)).eq(1) ? kinds : undefined;
  }
  const total = Mass.sum(lots.map((lot) => lot.balance));
  if (!total.isPositive()) return [{ hayKind: 'meadow', share: decimal(1) }];
  const names = [...new Set(lots.map((lot) => lot.row.hay_kind))];
  return sharesOf(
    new Map(
      names.map((hayKind) => [
        hayKind,
        Mass.sum(lots.filter((lot) => lot.row.hay_kind === hayKind).map((lot) => lot.balance)),
      ]),
    ),
  );
}

/** The composition of these kinds of hay: the lots on hand by weight, or book values for a kind with none. */
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

/** The waste of a herd, or why there is none, and what its reader should know of it. */
function wasteOf(
  { intake, waste: stated }: StatedHerd,
  { before, rations }: Pick<HerdKnown, 'before' | 'rations'>,
  { from, plan }: Pick<BudgetSpan, 'from' | 'plan'>,
): { waste: BudgetLoss | string; note?: Words } {
  const rows = rations.map(({ row }) => row);
  const isLaid = intake.basis === 'ration-in-use';
  const judged = judgedWasteOf(before, plan, isLaid ? rationPlannedOn(rows, from)?.row : rationInUseOn(rows, from));
  const waste = wasteByPlan(stated, before, judged);
  if (typeof waste === 'string') return { waste };
  return {
    // A ration is laid as it is: its waste says what of it is eaten and does not change how much is laid.
    waste: isLaid ? { ...waste, low: waste.typical, high: waste.typical } : waste,
    ...(waste.basis === 'own-measurement' && judged.note !== undefined ? { note: judged.note.message } : {}),
  };
}

/** What the plan says; else what the judge takes off, or where it knows of none, what is published. */
function wasteByPlan(stated: StatedHerd['waste'], before: HerdFacts, judged: JudgedWaste): BudgetLoss | string {
  if (stated?.basis === 'stated') return statedLoss(decimal(stated.percent).div(100), 'stated in the plan');
  if (stated?.basis === 'method') return publishedWaste(stated.method);
  if (judged.restsOn === 'measured') return measuredFeedingWaste({ share: judged.share, days: judged.days ?? [] });
  if (stated?.basis === 'own-feedings') return 'No feeding of the last year has refusals or waste weighed.';
  if (judged.restsOn === 'stated') return statedLoss(decimal(judged.share.toString()), 'stated in the ration');
  const lastMethod = lastMethodOf(before);
  return lastMethod !== undefined && lastMethod in FEEDING_WASTE_CHOICES
    ? publishedWaste(lastMethod)
    : usualFeedingWaste();
}

function publishedWaste(method: string): BudgetLoss | string {
  return method in FEEDING_WASTE_CHOICES
    ? publishedFeedingWaste(method as BudgetFeedingMethod)
    : `No waste is published for the way of feeding "${method}"; state one.`;
}

/** How the herd was last fed, in the year before the plan. */
function lastMethodOf({ on, fedLately }: HerdFacts): string | undefined {
  const last = fedLately?.feedings.at(-1);
  return last === undefined || daysBetween(last.happened_on, on) >= OWN_FIGURES_DAYS ? undefined : last.method;
}
