import { z } from 'zod';
import type { ReversalRow } from './reversal.read.js';
import { postingFields } from './posting.schema.js';
import { day, id, instantOut, reason } from '../../platform/wire/common.schema.js';

/** Reversing a record: it stays on file, and its effects are undone on a chosen day. */
export const reversalIn = z
  .strictObject({
    reason,
    effectiveOn: day
      .optional()
      .describe("Day on which the reversal takes effect: left out, the record's own day, never before it"),
    postTo: postingFields.postTo,
  })
  .meta({ id: 'ReversalRequest', description: 'Reverses a record: it stays on file, and its effects are undone' });

export const reversalOut = z
  .object({
    id: id.describe('Id of the reversal'),
    reason: z.string().describe('Why the record was reversed'),
    effectiveOn: day.describe('Day on which its effects are undone'),
    recordedAt: instantOut.describe('When the reversal was entered'),
    recordedBy: id.describe('Person who entered the reversal'),
  })
  .meta({ id: 'Reversal', description: 'The reversal of a record: when, by whom and why' });

/** The reversal of what brought hay: what its cost had already become stays. */
export const receiptReversalOut = reversalOut.extend({
  costsCharged: z
    .object({
      from: day.describe('Day on which the hay came'),
      until: day.describe('Day on which it is taken back'),
      message: z.string().describe('What stays as it was charged, and what does not'),
    })
    .nullable()
    .describe('What was charged before the reversal takes effect; null where it takes effect on the day of the record'),
});

export function receiptReversalAnswer(row: ReversalRow, cameOn: string): z.input<typeof receiptReversalOut> {
  const [from, until] = [cameOn, row.effective_on];
  const message =
    `Hay that was fed, sold or lost from ${from} until ${until} keeps the cost that it was charged while this stood; ` +
    `the difference is posted to the purchase price variance on ${until}. From then on every lot, layer and average ` +
    'costs what it would have if this had never been entered.';
  return { ...reversalAnswer(row), costsCharged: until > from ? { from, until, message } : null };
}

export function reversalAnswer(row: ReversalRow): z.input<typeof reversalOut>;
export function reversalAnswer(row: ReversalRow | undefined): z.input<typeof reversalOut> | null;
export function reversalAnswer(row: ReversalRow | undefined): z.input<typeof reversalOut> | null {
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
