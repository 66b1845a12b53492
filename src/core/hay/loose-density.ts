import type { StatedValue } from '../laying/layer-shares.js';
import { bookBulkDensity } from '../laying/hay-densities.data.js';
import { HAY_KINDS, type HayKind, type HayKindCode } from './hay-kinds.data.js';

/** How dense a kind of hay lies once it is forked or unrolled, kg as fed per m3, from the book: straw lies lighter than hay. */
export function looseDensityOf({ hayKind }: { readonly hayKind: HayKindCode }): StatedValue {
  const kind: HayKind = HAY_KINDS[hayKind];
  const row = bookBulkDensity({ form: kind.family === 'straw' ? 'loose-straw' : 'loose-hay' });
  return { value: row.kgPerM3, origin: 'book-value', source: row.source };
}
