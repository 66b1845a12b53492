import { WASTE_MEASURED } from '../judge/wasted-share.data.js';
import type { MeasuredWaste } from '../judge/wasted-share.js';
import { counted } from '../units/counted.js';
import tQuantile from '@stdlib/stats-base-dists-t-quantile';
import { FEEDING_WASTES } from '../stock/feeding-waste.data.js';
import { type HayStorage, STORAGE_LOSS_BY_METHOD, STORAGE_LOSSES } from '../stock/storage-loss.data.js';
import { type Decimal, decimal, decimalFromFloat } from '../units/decimal.js';
import { FEEDING_WASTE_CHOICES, type BudgetFeedingMethod, USUAL_FEEDING_METHOD } from './loss-choices.data.js';

/**
 * A loss as a share, with the bounds that published figures or the ranch's own measurements allow, and where it comes
 * from.
 */
export interface BudgetLoss {
  readonly low: Decimal;
  readonly typical: Decimal;
  readonly high: Decimal;
  readonly basis: 'published' | 'own-measurement' | 'stated' | 'assumed';
  readonly source: string;
  /** Other published figures for the same thing, with their sources; they set the bounds. */
  readonly others: readonly { readonly low: Decimal; readonly high: Decimal; readonly source: string }[];
  /** What the bounds are: the spread of published figures, a 95 % interval of the ranch's own measurements, or none. */
  readonly bounds: 'published-figures' | 'interval-95' | 'none';
}

interface PublishedRow {
  readonly code: string;
  readonly low: string;
  readonly high: string;
  readonly source: string;
}

function published(rows: readonly PublishedRow[], follow: string, others: readonly string[]): BudgetLoss {
  const find = (code: string): { low: Decimal; high: Decimal; source: string } => {
    const row = rows.find((each) => each.code === code);
    if (row === undefined) throw new RangeError(`No published figure is called ${code}`);
    return { low: decimal(row.low), high: decimal(row.high), source: row.source };
  };
  const chosen = find(follow);
  const rest = others.map(find);
  const least = [chosen, ...rest].reduce((best, each) => (each.low.lt(best) ? each.low : best), chosen.low);
  const most = [chosen, ...rest].reduce((best, each) => (each.high.gt(best) ? each.high : best), chosen.high);
  return {
    low: least,
    typical: chosen.low.plus(chosen.high).div(2),
    high: most,
    basis: 'published',
    source: chosen.source,
    others: rest,
    bounds: 'published-figures',
  };
}

/** Storage loss over a whole season by storage method: the midpoint of the row followed, bounds over all its rows. */
export function publishedStorageLoss(method: HayStorage): BudgetLoss {
  const { follow, others } = STORAGE_LOSS_BY_METHOD[method];
  return published(STORAGE_LOSSES, follow, others);
}

/** Feeding waste by feeding method: the midpoint of the row followed, bounds over all its rows. */
export function publishedFeedingWaste(method: BudgetFeedingMethod): BudgetLoss {
  const { follow, others } = FEEDING_WASTE_CHOICES[method];
  return published(FEEDING_WASTES, follow, others);
}

/**
 * Feeding waste where nothing is known about how a herd is fed: the figure for the usual way, with bounds over every
 * published way.
 */
export function usualFeedingWaste(): BudgetLoss {
  const usual = FEEDING_WASTE_CHOICES[USUAL_FEEDING_METHOD];
  const all = Object.values(FEEDING_WASTE_CHOICES).flatMap(({ follow, others }) => [follow, ...others]);
  return {
    ...published(
      FEEDING_WASTES,
      usual.follow,
      all.filter((code) => code !== usual.follow),
    ),
    basis: 'assumed',
  };
}

/** A figure stated by a person, without bounds. */
export function statedLoss(share: Decimal, source: string): BudgetLoss {
  return { low: share, typical: share, high: share, basis: 'stated', source, others: [], bounds: 'none' };
}

const SHARE_PLACES = 6;

/**
 * The ranch's own waste: the share that a herd is judged to waste, with the 95 % t interval of a ratio of two totals
 * over the days on which its leftovers were weighed, v = Σ(lost − R·fed)² ÷ ((n − 1)·n·mean fed²). Source:
 * Cochran, W.G. 1977. Sampling Techniques, 3rd ed., section 6.4 (large-sample variance of the ratio estimate, without
 * the finite-population correction). One day gives no interval. The bounds are kept between 0 and the most that can
 * be lost.
 */
export function measuredFeedingWaste({
  share,
  days,
}: {
  readonly share: number;
  /** At least one, each with hay in it. */
  readonly days: readonly MeasuredWaste[];
}): BudgetLoss {
  const n = days.length;
  const meanFedKg = days.reduce((sum, { fedKg }) => sum + fedKg, 0) / n;
  const squares = days.reduce((sum, { fedKg, lostKg }) => sum + (lostKg - share * fedKg) ** 2, 0);
  const half = n < 2 ? 0 : (Math.sqrt(squares / ((n - 1) * n)) / meanFedKg) * tQuantile(0.975, n - 1);
  const held = (value: number): Decimal =>
    decimalFromFloat(Math.min(Math.max(value, 0), WASTE_MEASURED.mostShare.value), SHARE_PLACES);
  return {
    low: held(share - half),
    typical: held(share),
    high: held(share + half),
    basis: 'own-measurement',
    source: `${counted(n, 'day')} of its own feedings with the leftovers weighed`,
    others: [],
    bounds: n < 2 ? 'none' : 'interval-95',
  };
}
