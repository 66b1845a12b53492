import { counted, noun } from '../units/counted.js';
import type { AnimalResult } from './analysis-sets.js';
import { type FeedOfPens, feedOfPens, type PenFeed } from './feed-of-pens.js';
import { TRIAL_CHOICES } from './trial.data.js';
import { decimal, decimalFromFloat, type Decimal } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import { Money, type Currency, type PricePerMass } from '../units/money.js';

/** One feed of one arm over the trial. Masses as fed. */
export interface ArmFeed {
  readonly armId: string;
  readonly name: string;
  readonly fed: Mass;
  readonly refused: Mass;
  readonly wasted: Mass;
  /** Share of dry matter, above 0 to 1. */
  readonly dryMatterShare: Decimal;
  /** Price per mass as fed; null where prices are not shown or known. */
  readonly price: PricePerMass | null;
  readonly daysMissing: number;
}

export interface ArmOutcome {
  readonly armId: string;
  readonly headDrawn: number;
  readonly headWithGain: number;
  readonly headDied: number;
  readonly headDays: number;
  readonly meanGainKgPerDay: number | null;
  /**
   * Weight out less weight in, per head-day, with the dead counted as losing all their start weight; null where a
   * weight is missing.
   */
  readonly gainDeadsInKgPerHeadDay: number | null;
  /** Head that neither died nor were sold or lost. */
  readonly headFinished: number;
  /** Weight gained over the days so far, in kilograms; null where a weight is missing. */
  readonly gainOverTrial: {
    /** Deads in: the dead count as losing all their start weight. */
    readonly deadsInPerHeadStarted: number | null;
    readonly deadsInPerHeadFinished: number | null;
    /** Deads out: those that finished alone. */
    readonly deadsOutPerHeadFinished: number | null;
  };
  readonly hay: {
    readonly fed: Mass;
    readonly eaten: Mass;
    readonly wasted: Mass;
    readonly refused: Mass;
    readonly fedPerHeadDay: Mass;
    readonly eatenPerHeadDay: Mass;
    readonly wastedPerHeadDay: Mass;
    readonly wastedShareOfFed: Decimal;
    readonly dryMatterEaten: Mass;
    /** Pure numbers: mass as fed per mass of gain; null with a reason in `notes` when the arm did not gain. */
    readonly fedPerGain: Decimal | null;
    readonly eatenPerGain: Decimal | null;
    readonly wastedPerGain: Decimal | null;
    /** Dry matter eaten per unit of gain. */
    readonly conversion: Decimal | null;
  } | null;
  readonly cost: {
    readonly feed: Money;
    readonly other: Money;
    readonly perHeadDay: Money;
    /** All of it, over the head that were started and over those that finished; null where none did. */
    readonly perHeadStarted: Money | null;
    readonly perHeadFinished: Money | null;
    /** Feed cost and total cost of one kilogram of gain; null when the arm did not gain. */
    readonly feedCostPerKgGain: Money | null;
    readonly totalCostPerKgGain: Money | null;
    /** Total cost of a kilogram of gain with deads in; null where there is then no gain, or a weight is missing. */
    readonly totalCostPerKgGainDeadsIn: Money | null;
  } | null;
  /** Pen by pen, with intervals; null where pens have no feed of their own. */
  readonly feedOfPens: FeedOfPens | null;
  readonly notes: readonly string[];
}

/**
 * Feed, waste, conversion and cost of gain of one arm, by head-days. The gain of an arm is its mean daily gain times
 * its head-days. Nothing is divided by a gain that is not above zero. `otherCosts` are yardage and the like over the
 * whole trial. Hay eaten is fed less refused less wasted.
 */
export function armOutcome({
  armId,
  results,
  feeds,
  otherCosts,
  currency,
  penFeeds = [],
  confidence = TRIAL_CHOICES.confidence.value,
}: {
  armId: string;
  results: readonly AnimalResult[];
  feeds: readonly ArmFeed[];
  otherCosts: Money | null;
  currency: Currency;
  penFeeds?: readonly PenFeed[];
  confidence?: number;
}): ArmOutcome {
  const drawn = results.filter((result) => result.armId === armId);
  const lines = feeds.filter((feed) => feed.armId === armId);
  const gain = gainOfArm(drawn);
  return {
    armId,
    headDrawn: drawn.length,
    headWithGain: gain.headWithGain,
    headDied: drawn.filter((result) => result.died).length,
    headDays: gain.headDays,
    meanGainKgPerDay: gain.meanKgPerDay,
    gainDeadsInKgPerHeadDay: gain.deadsIn === null || gain.headDays === 0 ? null : gain.deadsIn / gain.headDays,
    headFinished: gain.headFinished,
    gainOverTrial: {
      deadsInPerHeadStarted: perHead(gain.deadsIn, drawn.length),
      deadsInPerHeadFinished: perHead(gain.deadsIn, gain.headFinished),
      deadsOutPerHeadFinished: perHead(gain.deadsOut, gain.headFinished),
    },
    hay: hayOf(lines, gain),
    cost: costOf({ lines, other: otherCosts ?? Money.zero(currency), currency, gain }),
    feedOfPens: feedOfPens({ armId, results, feeds: penFeeds, confidence }),
    notes: notesOf(lines, gain),
  };
}

/** What an arm gained. */
interface ArmGain {
  readonly headDrawn: number;
  readonly headFinished: number;
  /** Weight out less weight in of all that were drawn, kilograms: the dead lose their start weight. */
  readonly deadsIn: number | null;
  /** The same of those that finished. */
  readonly deadsOut: number | null;
  readonly headWithGain: number;
  readonly headDays: number;
  readonly meanKgPerDay: number | null;
  /** Mean daily gain times head-days; null where the arm did not gain. */
  readonly total: Mass | null;
}

function gainOfArm(drawn: readonly AnimalResult[]): ArmGain {
  const gains = drawn.flatMap((result) => (result.gainKgPerDay === null ? [] : [result.gainKgPerDay]));
  const headDays = drawn.reduce((sum, result) => sum + result.headDays, 0);
  const mean = gains.length > 0 ? gains.reduce((sum, gain) => sum + gain, 0) / gains.length : null;
  const total =
    mean !== null && mean > 0 && headDays > 0 ? Mass.kilograms(decimalFromFloat(mean, 9)).times(headDays) : null;
  const finished = drawn.filter((result) => !result.left);
  return {
    headDrawn: drawn.length,
    headFinished: finished.length,
    deadsIn: weightGained(drawn),
    deadsOut: weightGained(finished),
    headWithGain: gains.length,
    headDays,
    meanKgPerDay: mean,
    total,
  };
}

function perHead(total: number | null, head: number): number | null {
  return total === null || head === 0 ? null : total / head;
}

function weightGained(drawn: readonly AnimalResult[]): number | null {
  const changes = drawn.flatMap(({ died, startWeightKg: start, endWeightKg: end }) => {
    if (start === null) return [];
    if (died) return [-start];
    return end === null ? [] : [end - start];
  });
  return changes.length === drawn.length ? changes.reduce((sum, change) => sum + change, 0) : null;
}

/** Head-days to divide by: one where there was none. */
const divisorOf = ({ headDays }: ArmGain) => decimal(Math.max(headDays, 1));

function hayOf(lines: readonly ArmFeed[], gain: ArmGain): ArmOutcome['hay'] {
  if (lines.length === 0) return null;
  const total = (pick: (line: ArmFeed) => Mass) => Mass.sum(lines.map(pick));
  const eatenOf = (line: ArmFeed) => line.fed.minus(line.refused).minus(line.wasted);
  const fed = total((line) => line.fed);
  const eaten = total(eatenOf);
  const wasted = total((line) => line.wasted);
  const dryMatterEaten = total((line) => eatenOf(line).times(line.dryMatterShare));
  const head = divisorOf(gain);
  const perGain = (mass: Mass) => (gain.total === null ? null : mass.ratioTo(gain.total));
  return {
    fed,
    eaten,
    wasted,
    refused: total((line) => line.refused),
    fedPerHeadDay: fed.dividedBy(head),
    eatenPerHeadDay: eaten.dividedBy(head),
    wastedPerHeadDay: wasted.dividedBy(head),
    wastedShareOfFed: fed.isZero() ? decimal(0) : wasted.ratioTo(fed),
    dryMatterEaten,
    fedPerGain: perGain(fed),
    eatenPerGain: perGain(eaten),
    wastedPerGain: perGain(wasted),
    conversion: perGain(dryMatterEaten),
  };
}

/** Null unless every feed has a price. */
function costOf({
  lines,
  other,
  currency,
  gain,
}: {
  lines: readonly ArmFeed[];
  other: Money;
  currency: Currency;
  gain: ArmGain;
}): ArmOutcome['cost'] {
  const costs = lines.flatMap((line) => (line.price === null ? [] : [line.price.for(line.fed)]));
  if (lines.length === 0 || costs.length < lines.length) return null;
  const feed = Money.sum(costs, currency);
  const perKg = (money: Money) => (gain.total === null ? null : money.dividedBy(gain.total.kilograms));
  const all = feed.plus(other);
  const over = (head: number) => (head === 0 ? null : all.dividedBy(head));
  return {
    feed,
    other,
    perHeadDay: all.dividedBy(divisorOf(gain)),
    perHeadStarted: over(gain.headDrawn),
    perHeadFinished: over(gain.headFinished),
    feedCostPerKgGain: perKg(feed),
    totalCostPerKgGain: perKg(all),
    totalCostPerKgGainDeadsIn:
      gain.deadsIn === null || !(gain.deadsIn > 0) ? null : all.dividedBy(decimalFromFloat(gain.deadsIn, 9)),
  };
}

function notesOf(lines: readonly ArmFeed[], gain: ArmGain): string[] {
  const notes: string[] = [];
  const daysMissing = Math.max(0, ...lines.map((line) => line.daysMissing));
  if (daysMissing > 0)
    notes.push(
      `${counted(daysMissing, 'day of this arm has', 'days of this arm have')} no feed record: hay and cost are too ` +
        `low by ${noun(daysMissing, 'it', 'them')}.`,
    );
  if (lines.length === 0) notes.push('No feed was recorded for this arm.');
  if (gain.total === null)
    notes.push(
      gain.meanKgPerDay === null
        ? 'No gain is known for this arm: conversion and cost of gain are not given.'
        : 'This arm did not gain: conversion and cost of gain have no meaning.',
    );
  return notes;
}
