import { costOfGain, type CostOfGain } from '../gain/cost-of-gain.js';
import type { WeighIn, WeightFlow } from '../gain/daily-gain.js';
import { breakEvenSale } from '../gain/value-of-gain.js';
import type { Refusal } from '../outcome/outcome.js';
import { headDays, headOn, type HeadStep } from '../standing/head-days.js';
import { addDays, type CalendarDay, daysBetween } from '../time/calendar-day.js';
import { decimal, type Decimal, ZERO } from '../units/decimal.js';
import { Mass, type MassUnit } from '../units/mass.js';
import { type Currency, Money, type PricePerMass } from '../units/money.js';
import { closeoutInterest, type CloseoutInterest, type DatedMoney, type InterestTerms } from './interest.js';
import { cattleMoney, type CattleMoney, type Missing } from './cattle-money.js';

/** Cattle that came or went within the days of the account, and what for. */
export interface CattleChange {
  readonly id: string;
  readonly on: CalendarDay;
  readonly kind: 'in' | 'out' | 'death' | 'sale' | 'move-in' | 'move-out';
  /** Above zero. */
  readonly head: number;
  readonly totalWeight: Mass | null;
  /** What was paid for: weight less a pencil shrink; null where they were not weighed. */
  readonly payWeight: Mass | null;
  readonly worth: Money | null;
  readonly how: 'paid' | 'valued' | null;
}

/** Cattle that stood in the herd before its first day, or stand in it after its last, at a stated value. */
export interface CattleStanding {
  readonly totalWeight: Mass | null;
  readonly value: Money | null;
}

/** A cost with the day it came on. */
export interface DatedCost extends DatedMoney {
  readonly kind: string;
}

export interface CloseoutInput {
  /** Both days included. */
  readonly from: CalendarDay;
  readonly until: CalendarDay;
  readonly currency: Currency;
  readonly steps: readonly HeadStep[];
  readonly opening: CattleStanding;
  readonly closing: CattleStanding;
  /** Those that stand, from `from` to `until`. */
  readonly changes: readonly CattleChange[];
  readonly hay: readonly DatedMoney[];
  readonly otherFeed: readonly DatedMoney[];
  /** The hay at a market price instead of its cost; null where no price was given. */
  readonly hayAtMarket: Money | null;
  readonly yardage: Money;
  readonly herdCosts: readonly DatedCost[];
  /** The herd's part of bills that came after its hay was eaten. */
  readonly lateCosts: Money;
  readonly interest: InterestTerms | null;
  /**
   * Shares taken off the weights in and out to bring both to the same fill; null: the pay weights are compared, each
   * less the pencil shrink of its price.
   */
  readonly sameFill: { readonly in: Decimal; readonly out: Decimal } | null;
  /** Unit that a refusal gives the gain in. */
  readonly unit?: MassUnit;
}

export interface CloseoutCosts {
  readonly hay: Money;
  readonly otherFeed: Money;
  readonly feed: Money;
  readonly yardage: Money;
  readonly herdCosts: readonly { readonly kind: string; readonly amount: Money }[];
  readonly lateCosts: Money;
  readonly interest: CloseoutInterest;
  readonly total: Money;
}

/** A gain, and what it cost: feed, feed and yardage (as the cost-of-gain report), and everything but the cattle. */
export interface GainCost {
  readonly gain: Mass;
  readonly feed: PricePerMass;
  readonly feedAndYardage: PricePerMass;
  readonly all: PricePerMass;
}

export interface GainFigures {
  /** The weight of the dead counts as gained up to their death. */
  readonly deadsOut: GainCost;
  /** It does not; null where they outweigh what the others gained. */
  readonly deadsIn: GainCost | null;
  readonly dailyGain: Mass;
  readonly weightOfDead: Mass;
}

export interface BreakEvenFigures {
  readonly saleWeight: Mass;
  /** The survivors carry the cost of the dead. */
  readonly deadsIn: PricePerMass;
  /** As if the dead had brought the same price for what they weighed; null where nobody knows what one weighed. */
  readonly deadsOut: PricePerMass | null;
}

export interface ProfitFigures {
  readonly total: Money;
  readonly perHeadIn: Money | null;
  readonly perHeadOut: Money | null;
}

export interface Closeout {
  readonly head: HeadFigures;
  readonly cattle: CattleMoney;
  readonly costs: CloseoutCosts;
  readonly gain: GainFigures | Refusal;
  /** The same at the same fill. */
  readonly gainAtSameFill: GainFigures | Refusal;
  /** Null where money or a weight is missing. */
  readonly breakEven: BreakEvenFigures | null;
  readonly profit: ProfitFigures | null;
  /** With hay at the market price. */
  readonly profitAtMarket: ProfitFigures | null;
  readonly missing: readonly Missing[];
}

export interface HeadFigures {
  readonly opening: number;
  readonly cameIn: number;
  readonly died: number;
  readonly wentOut: number;
  readonly closing: number;
  readonly headDays: number;
  /** Opening and all that came. */
  readonly in: number;
  /** All that left alive, and those that stand at the end. */
  readonly out: number;
  /** The dead over all that were there at first or came; null where there are none. */
  readonly deathLossPercent: Decimal | null;
}

/**
 * Closes a herd out over some days: cattle in and out at money, what their keep cost, what a pound of gain cost, the
 * price at which it breaks even, and the profit. Pay-to-pay accounting of a lot (Nebraska Extension G2095, 2023:
 * total cost over total gain). A figure that lacks a weight or an amount is null, and `missing` says of which entry.
 * Deads in and out as in `herdGain`.
 */
export function closeout(input: CloseoutInput): Closeout {
  const head = headFigures(input);
  const cattle = cattleMoney(input, head);
  const costs = costsOf(input);
  const profit = profitOf(cattle, costs.total, head);
  const atMarket = input.hayAtMarket === null ? null : costs.total.minus(costs.hay).plus(input.hayAtMarket);
  return {
    head,
    cattle,
    costs,
    gain: gainFigures(input, costs, head, AS_WEIGHED),
    gainAtSameFill: gainFigures(input, costs, head, atSameFill(input)),
    breakEven: breakEvenOf(input, cattle, costs.total),
    profit,
    profitAtMarket: atMarket === null ? null : profitOf(cattle, atMarket, head),
    missing: cattle.missing,
  };
}

function headFigures({ steps, from, until, changes }: CloseoutInput): HeadFigures {
  const count = (of: (kind: CattleChange['kind']) => boolean): number =>
    changes.filter(({ kind }) => of(kind)).reduce((sum, one) => sum + one.head, 0);
  const [opening, closing] = [headOn(steps, addDays(from, -1)), headOn(steps, until)];
  const cameIn = count((kind) => kind === 'in' || kind === 'move-in');
  const wentOut = count((kind) => kind === 'out' || kind === 'sale' || kind === 'move-out');
  const died = count((kind) => kind === 'death');
  return {
    opening,
    cameIn,
    died,
    wentOut,
    closing,
    headDays: headDays(steps, from, addDays(until, 1)),
    in: opening + cameIn,
    out: wentOut + closing,
    deathLossPercent:
      opening + cameIn === 0
        ? null
        : decimal(died)
            .times(100)
            .div(opening + cameIn),
  };
}

function costsOf(input: CloseoutInput): CloseoutCosts {
  const { currency, from, until, steps } = input;
  const sum = (some: readonly DatedMoney[]): Money =>
    Money.sum(
      some.map(({ amount }) => amount),
      currency,
    ).rounded();
  const [hay, otherFeed] = [sum(input.hay), sum(input.otherFeed)];
  const kinds = [...new Set(input.herdCosts.map(({ kind }) => kind))].sort();
  const herdCosts = kinds.map((kind) => ({ kind, amount: sum(input.herdCosts.filter((one) => one.kind === kind)) }));
  const { begin, end } = daysWithCattle(steps, from, until);
  const interest = closeoutInterest({
    terms: input.interest ?? { yearlyRate: ZERO, dayBasis: 365, onCattle: false, onCosts: 'none' },
    cattle: cattleLaidOut(input),
    costs: [
      ...input.hay,
      ...input.otherFeed,
      ...input.herdCosts,
      // Yardage comes evenly, late bills on the last day: with them every cost bears its half.
      { on: addDays(begin, Math.floor(Math.max(0, daysBetween(begin, end)) / 2)), amount: input.yardage },
      { on: end, amount: input.lateCosts },
    ],
    begin,
    end,
    currency,
  });
  const feed = hay.plus(otherFeed);
  const total = Money.sum(
    [
      feed,
      input.yardage,
      ...herdCosts.map(({ amount }) => amount),
      input.lateCosts,
      interest.onCattle,
      interest.onCosts,
    ],
    currency,
  );
  return { hay, otherFeed, feed, yardage: input.yardage, herdCosts, lateCosts: input.lateCosts, interest, total };
}

/** The first day of the account with cattle, and the day on which the last had gone (or the one after the account). */
function daysWithCattle(
  steps: readonly HeadStep[],
  from: CalendarDay,
  until: CalendarDay,
): { begin: CalendarDay; end: CalendarDay } {
  const after = addDays(until, 1);
  const within = steps.filter((step) => step.from > from && step.from <= until);
  const begin = headOn(steps, from) > 0 ? from : (within.find(({ head }) => head > 0)?.from ?? after);
  const last = within.at(-1);
  return { begin, end: last?.head === 0 ? last.from : after };
}

/** Money laid out for cattle, and what was received for them. */
function cattleLaidOut({ from, opening, changes }: CloseoutInput): DatedMoney[] {
  return [
    ...(opening.value === null ? [] : [{ on: from, amount: opening.value }]),
    ...changes.flatMap(({ on, kind, worth }) =>
      worth === null ? [] : [{ on, amount: cameIn(kind) ? worth : worth.negated() }],
    ),
  ];
}

/** Which weights a gain is reckoned with. */
interface Weights {
  change(one: CattleChange): Mass | null;
  standing(mass: Mass, side: 'in' | 'out'): Mass;
}

const AS_WEIGHED: Weights = { change: ({ totalWeight }) => totalWeight, standing: (mass) => mass };

function atSameFill({ sameFill }: CloseoutInput): Weights {
  if (sameFill === null)
    return { change: ({ payWeight, totalWeight }) => payWeight ?? totalWeight, standing: (mass) => mass };
  const kept = (mass: Mass, side: 'in' | 'out'): Mass => mass.times(decimal(1).minus(sameFill[side]));
  return {
    change: ({ kind, totalWeight }) => (totalWeight === null ? null : kept(totalWeight, cameIn(kind) ? 'in' : 'out')),
    standing: kept,
  };
}

function cameIn(kind: CattleChange['kind']): boolean {
  return kind === 'in' || kind === 'move-in';
}

/** Gain and its cost; refused as `costOfGain` refuses. */
function gainFigures(
  input: CloseoutInput,
  costs: CloseoutCosts,
  head: HeadFigures,
  weights: Weights,
): GainFigures | Refusal {
  const { from, until, changes } = input;
  const stood = (side: 'in' | 'out', day: CalendarDay, count: number, mass: Mass | null): WeighIn | undefined =>
    count > 0 && mass === null
      ? undefined
      : { day, head: count, totalWeight: mass === null ? Mass.zero : weights.standing(mass, side) };
  const found = costOfGain({
    from,
    until,
    opening: stood('in', from, head.opening, head.opening === 0 ? Mass.zero : input.opening.totalWeight),
    closing: stood('out', until, head.closing, head.closing === 0 ? Mass.zero : input.closing.totalWeight),
    flows: changes.map((one) => flowOf(one, weights.change(one))),
    headDays: head.headDays,
    feedCost: costs.feed,
    yardagePerHeadDay: head.headDays === 0 ? costs.yardage : costs.yardage.dividedBy(head.headDays),
    otherCost: costs.total.minus(costs.feed).minus(costs.yardage),
    windowDays: 0,
    ...(input.unit === undefined ? {} : { unit: input.unit }),
  });
  return found.ok ? figuresOf(found) : found;
}

function figuresOf({ gain, feedCost, yardageCost, totalCost }: CostOfGain): GainFigures {
  const over = (mass: Mass): GainCost => ({
    gain: mass,
    feed: feedCost.per(mass),
    feedAndYardage: feedCost.plus(yardageCost).per(mass),
    all: totalCost.per(mass),
  });
  return {
    deadsOut: over(gain.totalGain),
    deadsIn: gain.gainDeadsIn.isPositive() ? over(gain.gainDeadsIn) : null,
    dailyGain: gain.dailyGain,
    weightOfDead: gain.weightOfDead,
  };
}

function flowOf({ on, kind, head }: CattleChange, weight: Mass | null): WeightFlow {
  return {
    day: on,
    direction: cameIn(kind) ? 'in' : 'out',
    head,
    totalWeight: weight ?? Mass.zero,
    cause: kind === 'death' || kind === 'sale' ? kind : kind === 'in' || kind === 'out' ? undefined : 'move',
  };
}

/** What has to be covered by the price of those sold and those that stand at the end, over what is paid for them. */
function breakEvenOf(
  { changes, closing }: CloseoutInput,
  { moneyIn, otherReceived, closingHead }: CattleMoney,
  costOfKeeping: Money,
): BreakEvenFigures | null {
  const sold = changes.filter(({ kind, how }) => kind === 'sale' || (kind === 'out' && how !== 'valued'));
  const weights = [
    ...sold.map(({ payWeight, totalWeight }) => payWeight ?? totalWeight),
    ...(closingHead > 0 ? [closing.totalWeight] : []),
  ];
  const known = weights.filter((one) => one !== null);
  if (moneyIn === null || otherReceived === null || known.length < weights.length) return null;
  const saleWeight = Mass.sum(known);
  const dead = changes.filter(({ kind }) => kind === 'death').map(({ totalWeight }) => totalWeight);
  const weighed = dead.filter((one) => one !== null);
  const purchaseCost = moneyIn.minus(otherReceived);
  const deadsIn = breakEvenSale({ purchaseCost, costOfKeeping, finalWeight: saleWeight });
  const finalWeight = saleWeight.plus(Mass.sum(weighed));
  const deadsOut = breakEvenSale({ purchaseCost, costOfKeeping, finalWeight });
  if (!deadsIn.ok || !deadsOut.ok) return null;
  return {
    saleWeight,
    deadsIn: deadsIn.breakEvenPrice,
    deadsOut: weighed.length < dead.length ? null : deadsOut.breakEvenPrice,
  };
}

function profitOf(cattle: CattleMoney, totalCost: Money, head: HeadFigures): ProfitFigures | null {
  if (cattle.moneyIn === null || cattle.moneyOut === null) return null;
  const total = cattle.moneyOut.minus(cattle.moneyIn).minus(totalCost);
  return { total, perHeadIn: perHead(total, head.in), perHeadOut: perHead(total, head.out) };
}

/** Money over some head; null where there are none. */
export function perHead(amount: Money, head: number): Money | null {
  return head === 0 ? null : amount.dividedBy(head);
}
