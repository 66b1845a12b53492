import type { StatedValue } from '../laying/layer-shares.js';
import { bookBulkDensity, FEED_DENSITIES } from './hay-densities.data.js';
import type { HayKind, HayKindCode } from './hay-kinds.data.js';
import { feedGroupOf, feedKindOf, type OtherFeedCode } from './other-feeds.data.js';

/**
 * Book density of a feed as it is laid, kg as fed per m3: of hay once it is forked or unrolled, straw lighter than hay;
 * other feeds by their group.
 */
export function looseDensityOf({ hayKind }: { readonly hayKind: HayKindCode | OtherFeedCode }): StatedValue {
  const kind: HayKind = feedKindOf(hayKind);
  const group = feedGroupOf(hayKind);
  if (group !== 'hay') {
    const { kgPerM3, source } = FEED_DENSITIES[group];
    return { value: kgPerM3, origin: 'book-value', source };
  }
  const row = bookBulkDensity({ form: kind.family === 'straw' ? 'loose-straw' : 'loose-hay' });
  return { value: row.kgPerM3, origin: 'book-value', source: row.source };
}
