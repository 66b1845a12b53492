import { z } from 'zod';
import type { LatePostingRow, Posting } from './posting.read.js';
import { day, id } from '../../platform/wire/common.schema.js';

const postTo = z.enum(['own-day', 'open-period']).meta({
  id: 'PostTo',
  description:
    'Where an entry goes if its day is in a closed period. own-day (the default): it is refused. open-period: it is ' +
    'posted to the first open day, with a link to the day it belongs to',
});

/** What every dated entry may say about a day that is in a closed period. */
export const postingFields = {
  postTo: postTo.optional(),
  correctsId: id
    .optional()
    .describe(
      'Id of the entry that this one stands in for, if it does: one of the same kind that was reversed before. What ' +
        'still stands is corrected in one call, by POST …/correction',
    ),
};

export const postedLateOut = z
  .object({
    toldOn: day.describe('The day that was given'),
    closingId: id.describe('The closing that covers the day'),
    correctsId: id.nullable().describe('Id of the record that it corrects; null if none was named'),
  })
  .meta({
    id: 'PostedLate',
    description: 'That an entry belongs to a closed period and was posted to the first open day',
  });

export function postedLateAnswer(row: LatePostingRow | undefined): z.input<typeof postedLateOut> | null {
  return row === undefined
    ? null
    : { toldOn: row.told_on, closingId: row.book_closing_id, correctsId: row.corrects_id };
}

/** What `postedLateAnswer` gives for an entry that was just written. */
export function postedLate({ late }: Posting, correctsId?: string): z.input<typeof postedLateOut> | null {
  return late === undefined ? null : { ...late, correctsId: correctsId ?? null };
}
