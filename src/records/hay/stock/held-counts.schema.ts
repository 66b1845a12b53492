import { z } from 'zod';
import { day, id } from '../../../platform/wire/common.schema.js';
import { receiptReversalOut, reversalOut } from '../../kit/reversal.schema.js';
import { massOut } from '../../../platform/wire/quantity.schema.js';

/** Counts that an entry was told against. */
export const heldCountsOut = z
  .array(
    z
      .object({
        stockCountId: id,
        countedOn: day,
        counted: massOut.describe('What was counted, and stands'),
        difference: massOut.describe('Counted less books, now that this and all other entries are in the books'),
        message: z.string().describe('What the count now means, and what to do if it was not of this hay'),
      })
      .meta({ id: 'HeldCount', description: 'A count of the lot on or after the day of an entry that came later' }),
  )
  .describe(
    'Counts that were in the books before this entry, of a moment after it: what was counted stands, and their ' +
      'difference from the books was restated. Where the entry is of a closed period and was posted after such a ' +
      'count, the books are off it by the difference since then',
  );
/** The reversal of what moved hay: the counts after it stand and are restated. */
export const stockReversalOut = reversalOut
  .extend({ heldCounts: heldCountsOut })
  .meta({ id: 'StockReversal', description: 'The reversal of a record that moved hay: when, by whom and why' });

/** The reversal of what brought hay. */
export const stockReceiptReversalOut = receiptReversalOut
  .extend({ heldCounts: heldCountsOut })
  .meta({ id: 'ReceiptReversal', description: 'The reversal of a record that brought hay: when, by whom and why' });

export type HeldCount = z.input<typeof heldCountsOut>[number];
