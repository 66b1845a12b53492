import { type AnimalResult, unitsOfArm } from './analysis-sets.js';
import type { Triple } from './if-it-held.js';
import { meanWithInterval, ratioOfMeans } from './ratio-interval.js';

/** What one pen was fed over the trial, kilograms as fed; null where it was never recorded. */
export interface PenFeed {
  readonly armId: string;
  readonly penId: string;
  readonly fedKg: number;
  readonly refusedKg: number | null;
  readonly wastedKg: number | null;
  /** Share of dry matter of what was fed, above 0 to 1. */
  readonly dryMatterShare: number;
}

/** Feed of one arm by its pens, per head and day, and how sure that is from how its pens differ. */
export interface FeedOfPens {
  readonly pens: readonly {
    readonly penId: string;
    readonly headDays: number;
    readonly fedKg: number;
    readonly eatenKg: number;
    readonly wastedKg: number;
    readonly gainKgPerDay: number | null;
  }[];
  readonly confidence: number;
  /** Means over pens, each pen counting once, as fed; null with fewer than two pens. */
  readonly eatenKgPerHeadDay: Triple<number> | null;
  readonly wastedKgPerHeadDay: Triple<number> | null;
  /** Dry matter eaten for one of gain; null with fewer than two pens, or where gain is not told from none. */
  readonly conversion: Triple<number> | null;
}

/**
 * Feed of an arm pen by pen, with intervals from how its pens differ: Student's for intake and waste, Fieller's for
 * conversion. Waste and refusals that were not recorded in a pen count as none, as they do in the arm's sums.
 * @returns null where no pen of the arm has feed and head-days of its own.
 */
export function feedOfPens({
  armId,
  results,
  feeds,
  confidence,
}: {
  armId: string;
  results: readonly AnimalResult[];
  feeds: readonly PenFeed[];
  confidence: number;
}): FeedOfPens | null {
  const gains = new Map(
    unitsOfArm({ results, armId, unit: 'pen', set: 'as-drawn' }).map((pen) => [pen.id, pen.gainKgPerDay]),
  );
  const pens = feeds
    .filter((feed) => feed.armId === armId)
    .flatMap(({ penId, fedKg, refusedKg, wastedKg, dryMatterShare }) => {
      const headDays = results
        .filter((result) => result.armId === armId && result.penId === penId)
        .reduce((sum, result) => sum + result.headDays, 0);
      if (headDays === 0) return [];
      const eatenKg = fedKg - (refusedKg ?? 0) - (wastedKg ?? 0);
      const gainKgPerDay = gains.get(penId) ?? null;
      return [{ penId, headDays, fedKg, eatenKg, wastedKg: wastedKg ?? 0, dryMatterShare, gainKgPerDay }];
    });
  if (pens.length === 0) return null;
  const grown = pens.flatMap(({ gainKgPerDay: under, eatenKg, dryMatterShare, headDays }) =>
    under === null ? [] : [{ over: (eatenKg * dryMatterShare) / headDays, under }],
  );
  const conversion = ratioOfMeans(grown, confidence);
  return {
    pens: pens.map(({ dryMatterShare: _share, ...pen }) => pen),
    confidence,
    eatenKgPerHeadDay: meanWithInterval(
      pens.map((pen) => pen.eatenKg / pen.headDays),
      confidence,
    ),
    wastedKgPerHeadDay: meanWithInterval(
      pens.map((pen) => pen.wastedKg / pen.headDays),
      confidence,
    ),
    conversion: conversion !== null && conversion.estimate > 0 ? conversion : null,
  };
}
