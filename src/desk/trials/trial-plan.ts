import { counted } from '../../core/units/counted.js';
import type { z } from 'zod';
import type { OwnSpread, OwnWeighingSpread } from '../../core/trial/own-spread.js';
import { planTrial, type TrialPlan, type TrialPlanRequest } from '../../core/trial/plan-trial.js';
import type { TrialArm } from '../../core/trial/trial-records.js';
import type { WordUnit } from '../../core/trial/words.js';
import { addDays } from '../../core/time/calendar-day.js';
import { decimalFromFloat } from '../../core/units/decimal.js';
import type { TrialCaution } from '../../core/trial/trial-cautions.js';
import { Mass } from '../../core/units/mass.js';
import { figureIn } from '../../core/units/wording.js';
import type { Problem } from '../../core/outcome/problem.js';
import { problemOfCore } from '../../platform/http/core-problems.js';
import type { AnswerOf } from '../../platform/http/endpoint.js';
import { ruleBroken } from '../../platform/http/problem.js';
import {
  type MassIn,
  toMass,
  type UnitSystem,
  formatMass,
  formatTypedMass,
} from '../../platform/wire/quantity.schema.js';
import { type AmendedFields, type ArmRow, planInForce, type WholeTrial } from './trial.read.js';
import type { trialCautionOut } from './trial-caution.schema.js';
import type * as api from './trial.schema.js';
import type { TrialPlanTyped } from './trial.schema.js';

type MassOut = ReturnType<typeof formatMass>;

/** Six places of a kilogram: a milligram, far below any scale. */
const PLACES = 6;

export function formatKilograms(kg: number, units: UnitSystem): MassOut {
  const mass = formatMass(Mass.kilograms(decimalFromFloat(kg, 12)), units, 'small');
  return { ...mass, value: trim(Number(mass.value).toFixed(4)) };
}

/** A caution with its number in the units of the answer. */
export function trialCautionAnswer(
  { code, words, number, source }: TrialCaution,
  units: UnitSystem,
): z.input<typeof trialCautionOut> {
  return {
    code,
    words,
    number: number === null ? null : figureIn(units, number),
    source,
  };
}

function trim(text: string): string {
  return text.includes('.') ? text.replace(/\.?0+$/, '').replace(/^-0$/, '0') : text;
}

function wordsIn(units: UnitSystem): WordUnit {
  return units === 'us' ? 'lb' : 'kg';
}

const kilograms = (mass: MassIn): number =>
  toMass(mass)
    .kilograms.toDecimalPlaces(PLACES + 6)
    .toNumber();

export function coreArms(arms: readonly Pick<ArmRow, 'id' | 'name' | 'role'>[]): TrialArm[] {
  return arms.map((arm) => ({ id: arm.id, name: arm.name, role: arm.role }));
}

/** Place in the body that a field of the core came from. */
const POINTERS: Readonly<Record<string, string>> = {
  unitsPerArm: '#/unitsPerArm',
  headPerUnit: '#/headPerPen',
  dailyGainSd: '#/spread',
  weighingSd: '#/weighingSpread',
  losses: '#/expectedLosses',
  penToPenSdKgPerDay: '#/penToPenSpread',
  hopedDifferenceKgPerDay: '#/worthwhileDifference',
  looks: '#/looks/atShares',
  armIds: '#/arms',
  penIds: '#/pens',
};

export function refusePlan(problems: readonly Problem[]): never {
  throw problemOfCore(
    problems,
    (field) => POINTERS[field] ?? (field.startsWith('animals') ? '#/weighInIds' : `#/${field}`),
  );
}

interface SpreadUsed {
  /** Null takes the published default. */
  given: TrialPlanRequest['dailyGainSd'];
  why: string | null;
  weighing: TrialPlanRequest['weighingSd'];
  /** Why own weighings on two days in a row were not used; null where they were, or a figure was stated. */
  whyWeighing: string | null;
}

/** What the books tell of spread; absent where a plan does not ask for it. */
export interface OwnSpreads {
  gain: OwnSpread | undefined;
  weighing: OwnWeighingSpread | undefined;
}

/** Which spreads a plan uses: the ones stated, the operation's own, or the defaults with the reason. */
export function spreadOf(plan: TrialPlanTyped, own: OwnSpreads): SpreadUsed {
  return { ...gainSpreadOf(plan, own.gain), ...weighingSpreadOf(plan, own.weighing) };
}

function weighingSpreadOf(
  { weighingSpread }: TrialPlanTyped,
  own: OwnWeighingSpread | undefined,
): Pick<SpreadUsed, 'weighing' | 'whyWeighing'> {
  if (weighingSpread !== null)
    return { weighing: { kg: kilograms(weighingSpread), source: 'stated in the plan' }, whyWeighing: null };
  if (own === undefined) return { weighing: null, whyWeighing: null };
  if (!own.ok) return { weighing: null, whyWeighing: own.because };
  const words =
    `own weights on two days in a row: ${counted(own.animals, 'animal')} in ${counted(own.groups, 'group')}, ` +
    `${own.degreesOfFreedom} degrees of freedom`;
  return { weighing: { kg: own.sdKg, source: words }, whyWeighing: null };
}

function gainSpreadOf(plan: TrialPlanTyped, own: OwnSpread | undefined): Pick<SpreadUsed, 'given' | 'why'> {
  if (plan.spread.from === 'stated')
    return { given: { kgPerDay: kilograms(plan.spread.perDay), source: plan.spread.source }, why: null };
  if (plan.spread.from === 'default' || own === undefined) return { given: null, why: null };
  if (!own.ok) return { given: null, why: own.because };
  const days =
    own.shortestDays === own.longestDays ? `${own.shortestDays}` : `${own.shortestDays} to ${own.longestDays}`;
  const words =
    `${counted(own.animals, 'animal')} in ${counted(own.groups, 'group')} over ${days} days, ` +
    `${own.degreesOfFreedom} degrees of freedom`;
  return { given: { kgPerDay: own.kgPerDay, source: `own weights animal by animal: ${words}` }, why: words };
}

export function planRequest(
  plan: TrialPlanTyped,
  arms: readonly TrialArm[],
  spread: SpreadUsed,
  meanStartWeightKg: number | null,
  units: UnitSystem,
): TrialPlanRequest {
  return {
    question: plan.question,
    arms,
    unit: plan.unit,
    unitsPerArm: plan.unitsPerArm,
    headPerUnit: plan.headPerPen,
    lengthDays: plan.lengthDays,
    dailyGainSd: spread.given,
    penToPenSdKgPerDay: plan.penToPenSpread === null ? null : kilograms(plan.penToPenSpread),
    weighingSd: spread.weighing,
    losses:
      plan.expectedLosses === null
        ? null
        : {
            cattle: plan.expectedLosses.cattlePercent / 100,
            pens: plan.expectedLosses.pensPercent / 100,
            source: plan.expectedLosses.source,
          },
    twoWeighingDays: plan.twoWeighingDays,
    fill: plan.fill,
    hoursOffFeed: plan.hoursOffFeed,
    interimWeighingDays: plan.interimWeighingDays,
    hopedDifferenceKgPerDay: kilograms(plan.worthwhileDifference),
    meanStartWeightKg,
    method: plan.method,
    equivalence: plan.equivalence,
    confidence: plan.confidence,
    power: plan.power,
    looks: plan.looks === null ? null : { fractions: plan.looks.atShares, kind: plan.looks.spending },
    design: plan.design,
    futility: plan.futility === null ? null : plan.futility / 100,
    classOfAnimals: plan.classOfAnimals,
    season: plan.season,
    hay: plan.hay,
    wordsIn: wordsIn(units),
  };
}

/** What goes into a frozen plan: the core's answer in kilograms, and where the spread came from. */
export interface PlanAnswered {
  answer: TrialPlan;
  thirtyDays: { headPerArm: number; visibleKgPerDay: number; power: number; words: string[] }[];
  why: string | null;
  /** Absent in plans that were frozen before own weighings were looked at. */
  whyWeighing?: string | null;
}

const COMPARED_HEAD = [10, 20];
const COMPARED_DAYS = 30;

/** The core's answer to a plan. @throws Problem rule-broken where the plan cannot be a trial. */
export function checkedPlan(plan: TrialPlanTyped, request: TrialPlanRequest): TrialPlan {
  const answer = planTrial(request);
  if (!answer.ok) refusePlan(answer.problems);
  const late = plan.interimWeighingDays.find((day) => day >= plan.lengthDays);
  if (late !== undefined)
    throw ruleBroken(
      '#/interimWeighingDays',
      'after-the-end',
      late,
      `before day ${plan.lengthDays}`,
      'An interim weighing must come before the end.',
    );
  if (plan.fill === 'full' && plan.hoursOffFeed > 0)
    throw ruleBroken(
      '#/hoursOffFeed',
      'full-weights',
      plan.hoursOffFeed,
      '0 where cattle are weighed full',
      'Cattle held off feed before weighing are weighed shrunk.',
    );
  return answer;
}

export function answerPlan(
  plan: TrialPlanTyped,
  arms: readonly TrialArm[],
  spread: SpreadUsed,
  meanStartWeightKg: number | null,
  units: UnitSystem,
): PlanAnswered {
  const request = planRequest(plan, arms, spread, meanStartWeightKg, units);
  const answer = checkedPlan(plan, request);
  const thirtyDays = COMPARED_HEAD.map((headPerArm) => {
    const month = planTrial({
      ...request,
      unit: 'animal',
      unitsPerArm: headPerArm,
      headPerUnit: 1,
      lengthDays: COMPARED_DAYS,
      penToPenSdKgPerDay: null,
      interimWeighingDays: [],
      looks: null,
      design: null,
      futility: null,
    });
    if (!month.ok) refusePlan(month.problems);
    return {
      headPerArm,
      visibleKgPerDay: month.smallestVisibleDifferenceKgPerDay ?? 0,
      power: month.powerAtHopedDifference ?? 0,
      words: month.words.slice(0, 2),
    };
  });
  return { answer, thirtyDays, why: spread.why, whyWeighing: spread.whyWeighing };
}

type PlanAnswer = z.input<typeof api.planAnswer>;

export function formatPlanAnswer(
  trial: WholeTrial,
  { answer, thirtyDays, why, whyWeighing = null }: PlanAnswered,
  frozen: boolean,
  units: UnitSystem,
): PlanAnswer {
  const { plan, row } = trial;
  const mass = (kg: number): MassOut => formatKilograms(kg, units);
  return {
    trialId: row.id,
    trial: row.name,
    question: answer.question,
    units,
    frozen,
    unit: answer.unit,
    unitsPerArm: plan.unitsPerArm,
    lengthDays: plan.lengthDays,
    confidence: answer.confidence,
    powerAimedFor: answer.powerAimedFor,
    alpha: answer.alpha,
    worthwhileDifference: mass(kilograms(plan.worthwhileDifference)),
    power: answer.powerAtHopedDifference,
    smallestVisibleDifference:
      answer.smallestVisibleDifferenceKgPerDay === null ? null : mass(answer.smallestVisibleDifferenceKgPerDay),
    unitsNeeded: answer.unitsPerArmForHopedDifference,
    spread: {
      perDay: mass(answer.sd.unitKgPerDay),
      ofAnimals: mass(answer.sd.animalKgPerDay),
      ofWeighing: mass(answer.sd.weighingKgPerDay),
      ofPens: mass(answer.sd.penKgPerDay),
      source: answer.sd.source,
      isDefault: answer.sd.isDefault,
      why,
      weighing: weighingAnswer(answer, whyWeighing, mass),
    },
    losses: lossesAnswer(answer),
    equivalence: equivalenceAnswer(answer),
    futility: futilityAnswer(answer),
    design: designAnswer(answer),
    curve: answer.curve.map((point) => ({
      unitsPerArm: point.perArm,
      visibleDifference: mass(point.smallestVisibleDifference),
    })),
    overThirtyDays: thirtyDays.map((one) => ({
      headPerArm: one.headPerArm,
      visibleDifference: mass(one.visibleKgPerDay),
      power: one.power,
      words: one.words,
    })),
    looks: answer.looks.map((look) => ({
      number: look.look,
      atShare: look.fraction,
      day: Math.round(look.fraction * plan.lengthDays),
      alpha: look.nominalAlpha,
    })),
    words: [...answer.words],
    limits: [...answer.limits],
    cautions: answer.cautions.map((one) => trialCautionAnswer(one, units)),
  };
}

/** A plan that was frozen before these were part of it has none. */
type PlanKept = Omit<TrialPlan, 'sd' | 'losses' | 'equivalence' | 'design' | 'futility'> & {
  readonly futility?: TrialPlan['futility'];
  readonly design?: TrialPlan['design'];
  readonly equivalence?: TrialPlan['equivalence'];
  readonly sd: Partial<TrialPlan['sd']>;
  readonly losses?: TrialPlan['losses'];
};

function weighingAnswer(
  { sd }: PlanKept,
  why: string | null,
  mass: (kg: number) => MassOut,
): PlanAnswer['spread']['weighing'] {
  if (sd.weighingKg === undefined) return null;
  return {
    ofOneWeight: mass(sd.weighingKg),
    source: sd.weighingSource ?? '',
    isDefault: sd.weighingIsDefault ?? false,
    why,
  };
}

function equivalenceAnswer({ equivalence = null }: PlanKept): PlanAnswer['equivalence'] {
  return equivalence === null ? null : { power: equivalence.power, unitsNeeded: equivalence.unitsPerArm };
}

function futilityAnswer({ futility = null }: PlanKept): PlanAnswer['futility'] {
  if (futility === null) return null;
  return {
    belowPercent: Number((100 * futility.threshold).toFixed(6)),
    looks: futility.looks.map((look) => ({ ...look })),
  };
}

function designAnswer({ design = null }: PlanKept): PlanAnswer['design'] {
  if (design === null) return null;
  const { kind, degreesOfFreedom, simulatedTrials, periodsForHopedDifference: periodsNeeded } = design;
  return { kind, degreesOfFreedom, simulatedTrials, periodsNeeded };
}

function lossesAnswer({ losses }: PlanKept): PlanAnswer['losses'] {
  if (losses === undefined) return null;
  const { cattle, pens, source, isDefault } = losses;
  const inPercent = (share: number) => Number((share * 100).toFixed(6));
  return { cattlePercent: inPercent(cattle), pensPercent: inPercent(pens), source, isDefault };
}

function formatPlan(plan: TrialPlanTyped, units: UnitSystem): AnswerOf<typeof api.getTrial>['plan'] {
  const typed = (mass: MassIn): ReturnType<typeof formatTypedMass> =>
    formatTypedMass(toMass(mass).kilograms.toFixed(), mass.value, mass.unit, units, 'small');
  return {
    ...plan,
    worthwhileDifference: typed(plan.worthwhileDifference),
    spread:
      plan.spread.from === 'stated'
        ? { from: 'stated', perDay: typed(plan.spread.perDay), source: plan.spread.source }
        : { from: plan.spread.from, perDay: null, source: null },
    penToPenSpread: plan.penToPenSpread === null ? null : typed(plan.penToPenSpread),
    weighingSpread: plan.weighingSpread === null ? null : typed(plan.weighingSpread),
  };
}

/** The last day of the end weighings, with the end counted from the first day. */
export function lastWeighingDay(plan: Pick<TrialPlanTyped, 'lengthDays' | 'twoWeighingDays'>): number {
  return plan.lengthDays + (plan.twoWeighingDays ? 1 : 0);
}

export function trialAnswer(trial: WholeTrial, units: UnitSystem): AnswerOf<typeof api.getTrial> {
  const { row, plan, arms, amendments, herds, draws, judgements } = trial;
  const inForce = planInForce(trial);
  return {
    id: row.id,
    name: row.name,
    herdId: row.herd_id,
    state: row.state,
    arms: arms.map((arm) => ({ id: arm.id, name: arm.name, role: arm.role, feeding: arm.feeding })),
    plan: formatPlan(plan, units),
    inForce: {
      lengthDays: inForce.lengthDays,
      interimWeighingDays: inForce.interimWeighingDays,
      herdHead: inForce.herdHead,
    },
    beginsOn: row.begins_on,
    endsOn: row.begins_on === null ? null : addDays(row.begins_on, lastWeighingDay(inForce)),
    closedOn: row.closed_on,
    closeReason: row.close_reason,
    herds: herds.map((herd) => ({ armId: herd.arm_id, pen: herd.pen, herdId: herd.herd_id, herd: herd.herd_name })),
    draws,
    judgements,
    amendments: amendments.map((one) => ({
      id: one.id,
      number: one.number,
      amendedOn: one.amended_on,
      reason: one.reason,
      changes: one.changes as AmendedFields,
      recordedAt: one.recorded_at,
      recordedBy: one.recorded_by,
    })),
    units,
    createdAt: row.created_at,
    createdBy: row.created_by,
    version: row.version,
  };
}
