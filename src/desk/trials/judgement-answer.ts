import type { z } from 'zod';
import { addDays, daysBetween } from '../../core/time/calendar-day.js';
import type { PenFeed } from '../../core/trial/feed-of-pens.js';
import { mapTriple, type Triple } from '../../core/trial/if-it-held.js';
import type { PenFeedings } from '../../core/trial/trial-design.js';
import type { Difference } from '../../core/trial/two-sample.js';
import { decimal, decimalFromFloat } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import { Money, PricePerMass } from '../../core/units/money.js';
import {
  asCurrency,
  toMass,
  type UnitSystem,
  formatMass,
  formatMoney,
  formatPrice,
} from '../../platform/wire/quantity.schema.js';
import type { KeptComparison, KeptGap, KeptJudgement, KeptMoney } from './kept-judgement.js';
import type { gapOut, judgement } from './trial-judgement.schema.js';
import { formatKilograms, trialCautionAnswer } from './trial-plan.js';
import type { TrialPlanTyped } from './trial.schema.js';

export type JudgementOut = z.input<typeof judgement>;
type GapOut = z.input<typeof gapOut>;

/** The inputs except money. Enough to judge the trial again and get the same answer. */
export interface KeptInputs {
  trial: {
    name: string;
    question: string;
    beginsOn: string;
    seed: string;
    draws: number;
    arms: { id: string; name: string; role: 'usual' | 'change'; feeding: string }[];
    amendments: { number: number; amendedOn: string; reason: string }[];
  };
  plan: TrialPlanTyped;
  asOf: string;
  herdHead: number | null;
  look: { number: number; index: number; planned: boolean; final: boolean; repeats: number | null };
  weighInIds: string[];
  feedingIds: string[];
  animals: unknown[];
  /** Only with periods or blocks: what was drawn for each pen. */
  feedings?: readonly PenFeedings[];
  hay: {
    armId: string;
    hayLotId: string;
    fedKg: string;
    refusedKg: string;
    wastedKg: string;
    dryMatterShare: string;
    daysMissing: number;
  }[];
  /** Left out of judgements made before pens were told apart. */
  hayByPen?: PenFeed[];
  gaps: KeptGap[];
}

interface JudgementParts {
  id: string;
  trialId: string;
  number: number;
  asOf: string;
  inputsHash: string;
  inputs: KeptInputs;
  kept: KeptJudgement;
  money: { kept: KeptMoney; hash: string } | null;
  plan: JudgementOut['plan'];
  operation: string;
  invented: boolean;
  recordedAt: string;
  recordedBy: string;
}

export function gapAnswer(gap: KeptGap, begins: string): GapOut {
  return {
    code: gap.code,
    day: gap.day,
    on: gap.day === null ? null : addDays(begins, Math.floor(gap.day)),
    armId: gap.armId,
    pen: gap.penId,
    animal: gap.animalId,
    words: gap.words,
    treatment: gap.treatment,
  };
}

export function judgementAnswer(parts: JudgementParts, units: UnitSystem): JudgementOut {
  const { inputs, kept, money } = parts;
  const { trial, plan } = inputs;
  const nameOf = (armId: string): string => trial.arms.find((arm) => arm.id === armId)?.name ?? '';
  const writer = new MoneyWriter(money?.kept ?? null, units);
  return {
    id: parts.id,
    trialId: parts.trialId,
    number: parts.number,
    asOf: parts.asOf,
    dayOfTrial: daysBetween(trial.beginsOn, parts.asOf),
    units,
    invented: parts.invented,
    operation: parts.operation,
    trial: { ...trialAnswer(trial, plan, units), ...(kept.unit === undefined ? {} : { unit: kept.unit }) },
    look: lookAnswer(inputs, kept),
    words: [...kept.words],
    limits: [...kept.limits],
    arms: kept.arms.map((arm) => armAnswer(arm, trial, writer, units)),
    comparisons: kept.comparisons.map((comparison) => comparisonAnswer(comparison, writer, nameOf, units)),
    growth: kept.growth.map((point) => growthAnswer(point, units)),
    animals: kept.animals.map((animal) => animalAnswer(animal, units)),
    gaps: inputs.gaps.map((gap) => gapAnswer(gap, trial.beginsOn)),
    cautions: kept.cautions.map((one) => trialCautionAnswer(one, units)),
    inputs: {
      weighIns: inputs.weighInIds.length,
      feedings: inputs.feedingIds.length,
      animals: inputs.animals.length,
      hash: parts.inputsHash,
      moneyHash: money?.hash ?? null,
    },
    plan: parts.plan,
    recordedAt: parts.recordedAt,
    recordedBy: parts.recordedBy,
  };
}

function trialAnswer(trial: KeptInputs['trial'], plan: TrialPlanTyped, units: UnitSystem): JudgementOut['trial'] {
  return {
    name: trial.name,
    question: trial.question,
    unit: plan.unit,
    method: plan.method,
    lengthDays: plan.lengthDays,
    beginsOn: trial.beginsOn,
    classOfAnimals: plan.classOfAnimals,
    season: plan.season,
    hay: plan.hay,
    worthwhileDifference: formatKilograms(toMass(plan.worthwhileDifference).kilograms.toNumber(), units),
    seed: trial.seed,
    draws: trial.draws,
    amendments: trial.amendments,
  };
}

function lookAnswer({ look }: KeptInputs, kept: KeptJudgement): JudgementOut['look'] {
  return {
    number: look.number,
    final: look.final,
    planned: kept.look.planned,
    peeking: kept.look.peeking,
    repeats: look.repeats,
    falseAlarmChanceUncorrected: kept.look.falseAlarmChanceUncorrected,
    confidence: kept.confidence,
    intervalConfidence: kept.intervalConfidence,
  };
}

function massOrNull(kg: number | null, units: UnitSystem): ReturnType<typeof formatKilograms> | null {
  return kg === null ? null : formatKilograms(kg, units);
}

function armAnswer(
  arm: KeptJudgement['arms'][number],
  trial: KeptInputs['trial'],
  money: MoneyWriter,
  units: UnitSystem,
): JudgementOut['arms'][number] {
  const known = trial.arms.find((one) => one.id === arm.armId);
  return {
    armId: arm.armId,
    arm: known?.name ?? '',
    role: known?.role ?? 'change',
    feeding: known?.feeding ?? '',
    headDrawn: arm.headDrawn,
    headWithGain: arm.headWithGain,
    headDied: arm.headDied,
    headFinished: arm.headFinished ?? null,
    headDays: arm.headDays,
    dailyGain: massOrNull(arm.meanGainKgPerDay, units),
    dailyGainDeadsIn: massOrNull(arm.gainDeadsInKgPerHeadDay, units),
    gainOverTrial:
      arm.gainOverTrial === undefined
        ? null
        : {
            deadsInPerHeadStarted: massOrNull(arm.gainOverTrial.deadsInPerHeadStarted, units),
            deadsInPerHeadFinished: massOrNull(arm.gainOverTrial.deadsInPerHeadFinished, units),
            deadsOutPerHeadFinished: massOrNull(arm.gainOverTrial.deadsOutPerHeadFinished, units),
          },
    hay: hayAnswer(arm.hay, units),
    byPen: byPenAnswer(arm.feedOfPens ?? null, units),
    cost: money.cost(arm.armId),
    notes: [...arm.notes],
  };
}

function hayAnswer(hay: KeptJudgement['arms'][number]['hay'], units: UnitSystem): JudgementOut['arms'][number]['hay'] {
  if (hay === null) return null;
  const heavy = (kg: string): ReturnType<typeof formatMass> => formatMass(Mass.kilograms(kg), units, 'large');
  const light = (kg: string): ReturnType<typeof formatKilograms> => formatKilograms(Number(kg), units);
  return {
    fed: heavy(hay.fed),
    eaten: heavy(hay.eaten),
    refused: heavy(hay.refused),
    wasted: heavy(hay.wasted),
    fedPerHeadDay: light(hay.fedPerHeadDay),
    eatenPerHeadDay: light(hay.eatenPerHeadDay),
    wastedPerHeadDay: light(hay.wastedPerHeadDay),
    wastedShare: hay.wastedShareOfFed,
    dryMatterEaten: heavy(hay.dryMatterEaten),
    fedPerGain: hay.fedPerGain,
    eatenPerGain: hay.eatenPerGain,
    wastedPerGain: hay.wastedPerGain,
    conversion: hay.conversion,
  };
}

function equivalenceAnswer(
  found: NonNullable<KeptComparison['equivalence']> | null,
  mass: (kg: number) => ReturnType<typeof formatKilograms>,
): JudgementOut['comparisons'][number]['equivalence'] {
  if (found === null) return null;
  const { marginKgPerDay, alpha, lowKgPerDay, highKgPerDay, p, shown } = found;
  return { margin: mass(marginKgPerDay), alpha, low: mass(lowKgPerDay), high: mass(highKgPerDay), p, shown };
}

function byPenAnswer(
  found: KeptJudgement['arms'][number]['feedOfPens'] | null,
  units: UnitSystem,
): JudgementOut['arms'][number]['byPen'] {
  if (!found) return null;
  const mass = (kg: number): ReturnType<typeof formatKilograms> => formatKilograms(kg, units);
  const heavy = (kg: number): ReturnType<typeof formatMass> =>
    formatMass(Mass.kilograms(decimalFromFloat(kg, 9)), units, 'large');
  const interval = (triple: Triple<number> | null) => (triple === null ? null : mapTriple(triple, mass));
  return {
    confidence: found.confidence,
    eatenPerHeadDay: interval(found.eatenKgPerHeadDay),
    wastedPerHeadDay: interval(found.wastedKgPerHeadDay),
    conversion: found.conversion,
    pens: found.pens.map((pen) => ({
      pen: pen.penId,
      headDays: pen.headDays,
      fed: heavy(pen.fedKg),
      eaten: heavy(pen.eatenKg),
      wasted: heavy(pen.wastedKg),
      dailyGain: massOrNull(pen.gainKgPerDay, units),
    })),
  };
}

function growthAnswer(point: KeptJudgement['growth'][number], units: UnitSystem): JudgementOut['growth'][number] {
  return {
    armId: point.armId,
    day: point.day,
    head: point.head,
    meanWeight: formatKilograms(point.meanWeightKg, units),
    sdWeight: massOrNull(point.sdWeightKg, units),
  };
}

function animalAnswer(animal: KeptJudgement['animals'][number], units: UnitSystem): JudgementOut['animals'][number] {
  return {
    animal: animal.animalId,
    armId: animal.armId,
    pen: animal.penId,
    period: animal.period ?? null,
    startWeight: massOrNull(animal.startWeightKg, units),
    endWeight: massOrNull(animal.endWeightKg, units),
    days: animal.days,
    dailyGain: massOrNull(animal.gainKgPerDay, units),
    gainTo: animal.gainTo,
    followedProtocol: animal.followedProtocol,
    departures: animal.departures.map((one) => ({
      code: one.code,
      day: one.day,
      words: one.words,
      asDrawn: one.asDrawn,
      perProtocol: one.perProtocol,
    })),
  };
}

function differenceAnswer(
  given: Difference | null,
  units: UnitSystem,
): z.input<typeof judgement>['comparisons'][number]['answer'] {
  if (given === null) return null;
  const mass = (kg: number): ReturnType<typeof formatKilograms> => formatKilograms(kg, units);
  return {
    method: given.method,
    difference: mass(given.difference),
    low: mass(given.low),
    high: mass(given.high),
    standardError: mass(given.standardError),
    degreesOfFreedom: given.degreesOfFreedom,
    t: given.t,
    p: given.p,
    confidence: given.confidence,
  };
}

function twoHerdsAnswer(
  given: NonNullable<KeptComparison['twoHerds']> | null,
  units: UnitSystem,
): JudgementOut['comparisons'][number]['twoHerds'] {
  if (given === null) return null;
  return {
    difference: formatKilograms(given.differenceKgPerDay, units),
    fedAlike: formatKilograms(given.fedAlikeKgPerDay, units),
    source: given.source,
    herdsPerArm: given.herdsPerArm,
  };
}

function futilityAnswer(
  given: NonNullable<KeptComparison['futility']> | null,
): JudgementOut['comparisons'][number]['futility'] {
  if (given === null) return null;
  const { share, conditionalPower, asSeen, threshold, futile } = given;
  return { atShare: share, chance: conditionalPower, chanceAsSeen: asSeen, below: threshold, futile };
}

function designedAnswer(
  given: NonNullable<KeptComparison['designed']> | null,
  units: UnitSystem,
): JudgementOut['comparisons'][number]['designed'] {
  if (given === null) return null;
  const { kind, pens, periods, betweenSdKgPerDay, residualSdKgPerDay, carryOver } = given;
  const answered = (difference: Difference): NonNullable<ReturnType<typeof differenceAnswer>> | null =>
    differenceAnswer(difference, units) ?? null;
  const [effect, allowedFor] =
    carryOver === null ? [null, null] : [answered(carryOver.effect), answered(carryOver.allowedFor)];
  return {
    kind,
    pens,
    periods,
    betweenPens: formatKilograms(betweenSdKgPerDay, units),
    withinPens: formatKilograms(residualSdKgPerDay, units),
    carryOver: effect === null || allowedFor === null ? null : { effect, allowedFor },
  };
}

function comparisonAnswer(
  given: KeptComparison,
  money: MoneyWriter,
  nameOf: (armId: string) => string,
  units: UnitSystem,
): JudgementOut['comparisons'][number] {
  const mass = (kg: number): ReturnType<typeof formatKilograms> => formatKilograms(kg, units);
  const answerOf = (difference: Difference | null): ReturnType<typeof differenceAnswer> =>
    differenceAnswer(difference, units);
  const set = (one: KeptComparison['asDrawn']): JudgementOut['comparisons'][number]['asDrawn'] => ({
    units: one.units.map((unit) => ({ ...unit })),
    answer: answerOf(one.answer),
    welch: answerOf(one.welch),
    verdict: one.verdict?.verdict ?? null,
  });
  const { checks, missing, ifItHeld, nextTrial } = given;
  const against =
    missing === null ? undefined : { change: answerOf(missing.againstChange), usual: answerOf(missing.againstUsual) };
  return {
    usualArmId: given.usualArmId,
    changeArmId: given.changeArmId,
    usual: nameOf(given.usualArmId),
    change: nameOf(given.changeArmId),
    verdict: given.verdict.verdict,
    favours: given.verdict.favours,
    worthwhileForSure: given.verdict.worthwhileForSure,
    words: [...given.verdict.sentences],
    answer: answerOf(given.answer),
    equivalence: equivalenceAnswer(given.equivalence ?? null, mass),
    twoHerds: twoHerdsAnswer(given.twoHerds ?? null, units),
    futility: futilityAnswer(given.futility ?? null),
    designed: designedAnswer(given.designed ?? null, units),
    animalsOnly: answerOf(given.animalsOnly),
    asDrawn: set(given.asDrawn),
    perProtocol: set(given.perProtocol),
    missing:
      missing === null || against === undefined || against.change === null || against.usual === null
        ? null
        : { head: missing.head, againstChange: against.change, againstUsual: against.usual },
    checks:
      checks === null
        ? null
        : {
            normality: checks.normality,
            equalSpread: checks.equalVariance,
            equalSlopes: given.answer?.method === 'analysis-of-covariance' ? given.asDrawn.equalSlopes : null,
            influence: checks.influence.map((one) => {
              const out = given.leftOut.find((other) => other.unitId === one.unitId);
              return {
                unit: one.unitId,
                residual: mass(one.residualKgPerDay),
                cooksDistance: one.cooksDistance,
                differenceWithout: out === undefined ? null : mass(out.differenceKgPerDay),
                shift: out?.shiftInStandardErrors ?? null,
              };
            }),
          },
    nextTrial: nextTrial === null ? null : { spread: mass(nextTrial.sdKgPerDay), unitsPerArm: nextTrial.unitsPerArm },
    ifItHeld:
      ifItHeld === null
        ? null
        : { head: ifItHeld.head, days: ifItHeld.days, addedGain: formatMasses(ifItHeld.addedGainKg, units) },
    deaths: given.deaths ?? null,
    partialBudget: money.budget(given.changeArmId),
  };
}

function formatMasses(
  { low, estimate, high }: Triple<string>,
  units: UnitSystem,
): {
  low: ReturnType<typeof formatMass>;
  estimate: ReturnType<typeof formatMass>;
  high: ReturnType<typeof formatMass>;
} {
  const mass = (kg: string): ReturnType<typeof formatMass> => {
    const written = formatMass(Mass.kilograms(kg), units, 'small');
    return { ...written, value: decimal(written.value).toFixed(0).replace(/^-0$/, '0') };
  };
  return { low: mass(low), estimate: mass(estimate), high: mass(high) };
}

/** The money of a judgement, or nothing if the reader may not see any. */
class MoneyWriter {
  constructor(
    private readonly kept: KeptMoney | null,
    private readonly units: UnitSystem,
  ) {}

  cost(armId: string): JudgementOut['arms'][number]['cost'] {
    const arm = this.kept?.arms.find((one) => one.armId === armId);
    if (arm === undefined) return null;
    const price = (perKg: string | null): ReturnType<typeof formatPrice> | null =>
      perKg === null ? null : this.#price(perKg);
    return {
      feed: this.#money(arm.feed),
      other: this.#money(arm.other),
      perHeadDay: this.#money(arm.perHeadDay),
      perHeadStarted: this.#moneyOrNull(arm.perHeadStarted),
      perHeadFinished: this.#moneyOrNull(arm.perHeadFinished),
      feedCostOfGain: price(arm.feedPerKgGain),
      totalCostOfGain: price(arm.totalPerKgGain),
      totalCostOfGainDeadsIn: price(arm.totalPerKgGainDeadsIn ?? null),
    };
  }

  budget(changeArmId: string): JudgementOut['comparisons'][number]['partialBudget'] {
    const budget = this.kept?.budgets.find((one) => one.changeArmId === changeArmId);
    const value = this.kept?.valueOfGainPerKg ?? null;
    const typed = this.kept?.valueOfGainTyped;
    if (budget === undefined || value === null) return null;
    const triple = ({
      low,
      estimate,
      high,
    }: Triple<string>): {
      low: ReturnType<typeof formatMoney>;
      estimate: ReturnType<typeof formatMoney>;
      high: ReturnType<typeof formatMoney>;
    } => ({ low: this.#money(low), estimate: this.#money(estimate), high: this.#money(high) });
    return {
      days: budget.days,
      valueOfGain: this.#price(value),
      valueOfGainTyped: typed === undefined ? null : { ...typed, currency: asCurrency(typed.currency) },
      ...this.#cattle(),
      addedReturnsPerHead: triple(budget.addedReturns),
      addedDeathLossPerHead: this.#moneyOrNull(budget.addedDeathLoss),
      addedCostsPerHead: this.#money(budget.addedCosts),
      netPerHead: triple(budget.net),
      overHerd:
        budget.herd === null
          ? null
          : {
              head: budget.herd.head,
              addedGain: formatMasses(budget.herd.addedGainKg, this.units),
              net: triple(budget.herd.net),
            },
      verdict: budget.verdict,
      words: [...budget.words],
    };
  }

  #cattle(): Pick<
    NonNullable<JudgementOut['comparisons'][number]['partialBudget']>,
    'valueOfCattle' | 'valueOfCattleTyped'
  > {
    const { valueOfCattlePerKg: perKg, valueOfCattleTyped: typed } = this.kept ?? {};
    return {
      valueOfCattle: perKg === undefined ? null : this.#price(perKg),
      valueOfCattleTyped: typed === undefined ? null : { ...typed, currency: asCurrency(typed.currency) },
    };
  }

  #moneyOrNull(amount: string | null | undefined): ReturnType<typeof formatMoney> | null {
    return amount === null || amount === undefined ? null : this.#money(amount);
  }

  #money(amount: string): ReturnType<typeof formatMoney> {
    return formatMoney(Money.of(amount, asCurrency(this.kept?.currency ?? '')));
  }

  #price(perKg: string): ReturnType<typeof formatPrice> {
    return formatPrice(
      PricePerMass.perKilogram(decimal(perKg), asCurrency(this.kept?.currency ?? '')),
      this.units,
      'small',
    );
  }
}
