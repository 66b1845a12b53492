import { type ColumnFamily, massFamily } from '../columns.js';
import type { FileRow } from '../csv-file.js';
import type { RecordDraft } from '../record-draft.js';

/* How much hay leaves a lot, or is found in it: by weight, over the truck scale, or in bales. */

export const DRAWN_WEIGHTS: readonly ColumnFamily[] = [
  massFamily('weight', 'Weight'),
  massFamily('gross_weight', 'Weight of the full truck'),
  massFamily('tare_weight', 'Weight of the empty truck'),
];

export const BALES_ALLOWED = 'a number of bales, at most three decimals';

/** Puts what was given at the pointer; two ways in one row are a problem. */
export function putQuantity(draft: RecordDraft, row: FileRow, pointer: string, scale = true): void {
  const weight = draft.oneOf(row, 'weight');
  const gross = scale ? (draft.oneOf(row, 'gross_weight') ?? draft.oneOf(row, 'tare_weight')) : undefined;
  const bales = row.cells.get('bales');
  const given = [weight, gross, bales].filter((one) => one !== undefined);
  if (given.length > 1)
    draft.complain(
      row.number,
      'bales',
      'two-weights',
      bales ?? null,
      'a weight, a gross and a tare, or bales',
      'The amount is given in more than one way.',
    );
  if (bales !== undefined) draft.text(`${pointer}/bales`, row, 'bales');
  else if (weight === undefined && gross !== undefined) {
    draft.mass(`${pointer}/gross`, row, 'gross_weight');
    draft.mass(`${pointer}/tare`, row, 'tare_weight');
  } else draft.mass(`${pointer}/weight`, row, 'weight');
}
