import { z } from 'zod';
import { id, reason } from '../../platform/wire/common.schema.js';
import { entryQuery } from '../../platform/wire/confirm.schema.js';
import { reversalOut } from './reversal.schema.js';

/** What every address that corrects takes and answers: the mistake goes out and what is right comes in, together. */
export const correctionIn = <Entry extends z.ZodType>(entry: Entry) =>
  z.strictObject({
    reason,
    entry: withoutCorrectsId(entry).describe('What is right, whole: as it would have been entered'),
  });

/** Which entry it corrects is said by the address, so a body that says it as well is refused at the field. */
function withoutCorrectsId<Entry extends z.ZodType>(entry: Entry): Entry {
  if (!(entry instanceof z.ZodObject) || !('correctsId' in entry.shape)) return entry;
  return entry.omit({ correctsId: true }) as unknown as Entry;
}

/** Which herd what is right is about, where the mistake was the herd. */
export const herdItBelongsTo = id.optional().describe('The herd that it is true of; left out, that of the mistake');

export const correctionOut = <Entry extends z.ZodType, Reversal extends z.ZodType = typeof reversalOut>(
  entry: Entry,
  reversal?: Reversal,
) =>
  z.object({
    correctedId: id.describe('Id of the entry that was wrong; it stays on file, reversed'),
    reversal: ((reversal ?? reversalOut) as Reversal).describe('Its reversal, on its own day'),
    entry: entry.describe('What was entered in its place'),
  });

export const correctionQuery = z.strictObject(entryQuery);

export const CORRECTION_WORDS =
  'Reverses it and enters what is right, both or neither: where later entries lean on it, a reversal alone is ' +
  'refused. ' +
  'Afterward every balance, cost and report is as if the mistake had never been typed. If its day is in a closed ' +
  'period, postTo of the entry says where both go.';
