import type { StatedValue } from '../laying/layer-shares.js';
import { bookBulkDensity } from './hay-densities.data.js';
import type { HayKind, HayKindCode } from './hay-kinds.data.js';
import { feedKindOf, type OtherFeedCode } from './other-feeds.data.js';

/** Book density of a kind of hay once it is forked or unrolled, kg as fed per m3: straw is lighter than hay. */
export function looseDensityOf({ hayKind }: { readonly hayKind: HayKindCode | OtherFeedCode }): StatedValue {
  const kind: HayKind = feedKindOf(hayKind);
  const row = bookBulkDensity({ form: kind.family === 'straw' ? 'loose-straw' : 'loose-hay' });
  return { value: row.kgPerM3, origin: 'book-value', source: row.source };
}
