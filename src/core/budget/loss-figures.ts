import { WASTE_MEASURED } from '../judge/wasted-share.data.js';
import { counted } from '../units/counted.js';
import tQuantile from '@stdlib/stats-base-dists-t-quantile';
import { FEEDING_WASTES } from '../stock/feeding-waste.data.js';
import { type HayStorage, STORAGE_LOSS_BY_METHOD, STORAGE_LOSSES } from '../stock/storage-loss.data.js';
import { type Decimal, decimal, decimalFromFloat, sumDecimals, ZERO } from '../units/decimal.js';
import type { Mass } from '../units/mass.js';
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

const HIGHEST_SHARE = decimal(String(WASTE_MEASURED.mostShare.value));
const SHARE_PLACES = 6;

/**
 * The ranch's own waste from feedings where the leftovers were weighed: lost ÷ fed over all of them, as a share,
 * with the 95 % t interval of a ratio of two totals, v = Σ(lost − R·fed)² ÷ ((n − 1)·n·mean fed²). Source:
 * Cochran, W.G.
 * 1977. Sampling Techniques, 3rd ed., section 6.4 (large-sample variance of the ratio estimate, without the
 * finite-population correction). One feeding gives no interval; no feedings, or none with hay in them, give no
 * answer. The share is kept between 0 and the most that can be lost.
 */
export function ownFeedingWaste(
  feedings: readonly { readonly fed: Mass; readonly lost: Mass }[],
): (BudgetLoss & { readonly feedings: number }) | null {
  const fed = sumDecimals(feedings.map((each) => each.fed.kilograms));
  if (fed.lte(0)) return null;
  const share = sumDecimals(feedings.map((each) => each.lost.kilograms)).div(fed);
  const n = feedings.length;
  const meanFed = fed.div(n);
  const spread = sumDecimals(feedings.map((each) => each.lost.kilograms.minus(share.times(each.fed.kilograms)).pow(2)));
  const half =
    n < 2
      ? ZERO
      : spread
          .div((n - 1) * n)
          .div(meanFed.pow(2))
          .sqrt()
          .times(decimalFromFloat(tQuantile(0.975, n - 1), SHARE_PLACES));
  const held = (value: Decimal): Decimal => (value.lt(0) ? ZERO : value.gt(HIGHEST_SHARE) ? HIGHEST_SHARE : value);
  return {
    low: held(share.minus(half)),
    typical: held(share),
    high: held(share.plus(half)),
    basis: 'own-measurement',
    source: `${counted(n, 'feeding')} of its own with the leftovers weighed`,
    others: [],
    bounds: n < 2 ? 'none' : 'interval-95',
    feedings: n,
  };
}
