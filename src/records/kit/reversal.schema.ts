import { z } from 'zod';
import type { ReversalRow } from './reversal.read.js';
import { postingFields } from './posting.schema.js';
import { day, id, instantOut, reason } from '../../platform/wire/common.schema.js';

/** How every written record is taken back: the record stays, its effects are reversed on a chosen day. */
export const reversalIn = z.strictObject({
  reason,
  effectiveOn: day.optional().describe("The record's own day if absent; never before it"),
  postTo: postingFields.postTo,
});

export const reversalOut = z
  .object({ id, reason: z.string().describe('Why'), effectiveOn: day, recordedAt: instantOut, recordedBy: id })
  .meta({ id: 'Reversal', description: 'That a record was taken back, when and why' });

export function writeReversal(row: ReversalRow): z.input<typeof reversalOut>;
export function writeReversal(row: ReversalRow | undefined): z.input<typeof reversalOut> | null;
export function writeReversal(row: ReversalRow | undefined): z.input<typeof reversalOut> | null {
  return row === undefined
    ? null
    : {
        id: row.id,
        reason: row.reason,
        effectiveOn: row.effective_on,
        recordedAt: row.recorded_at,
        recordedBy: row.recorded_by,
      };
}
