import type { RationLayer } from '../ration/ration.js';
import type { RationEvaluation } from './evaluation.js';
import { partsOf } from './ration-supply.js';

/** Lots and values that come from a book and not from a test; each lot once. */
export function bookValuesOf(layers: readonly RationLayer[]): RationEvaluation['bookValues'] {
  const lots = [...new Map(partsOf(layers).map(({ lot }) => [lot.lotId, lot])).values()];
  return lots.flatMap((lot) => {
    const fields = [
      ...(lot.dryMatterPercent.origin === 'book-value' ? ['dryMatterPercent'] : []),
      ...Object.entries(lot.composition)
        .filter(([, value]) => value.origin === 'book-value')
        .map(([field]) => field),
    ];
    return fields.length === 0 ? [] : [{ lotName: lot.lotName, fields }];
  });
}
