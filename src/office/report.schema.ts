import { z } from 'zod';
import { day, id, instantOut } from '../platform/wire/common.schema.js';
import { currency, massOut, moneyOut, unitSystem } from '../platform/wire/quantity.schema.js';

const reportFlag = z
  .object({
    code: z.string().describe('Code of the flag; it stays the same between releases'),
    message: z.string().describe('What a reader should know before relying on a figure'),
  })
  .meta({ id: 'ReportFlag', description: 'Something in a report that is doubtful or missing' });

/** What every report says about itself: whose books, which days, which method, and what it is based on. */
export const reportHead = {
  operationId: id,
  operation: z.string().describe('Name of the operation'),
  invented: z.boolean().describe('True where the books are invented demo data'),
  currency,
  units: unitSystem.describe('Units in which this answer gives its quantities'),
  method: z.string().describe('How the figures were worked out'),
  inputs: z.record(z.string(), z.number()).describe('How many records of each sort went in'),
  flags: z.array(reportFlag).describe('What is doubtful or missing in the report; empty if nothing'),
};

export const period = {
  from: day.describe('First day, included'),
  until: day.describe('Last day, included'),
};

/** What a reversal of these days takes back of an earlier period, by `fateOf` in `core/time/what-stands.ts`. */
export const correctionOut = z
  .object({
    what: z
      .enum(['feeding', 'hay-cost', 'head-change', 'yardage-rate'])
      .describe(
        'What was reversed, or posted late in its place; hay-cost: a receipt or bill of hay that the herd had eaten',
      ),
    herdId: id,
    herd: z.string().describe('Name of the herd'),
    on: day.describe('Day as of which it was reversed'),
    of: day.describe('Day of the record that was reversed'),
    hayKind: z.string().describe('Kind of hay or feed; null where it is of yardage').nullable(),
    fed: massOut
      .describe(
        'Below zero: hay that was not fed after all; above: fed in its place and posted late; null where of no feeding',
      )
      .nullable(),
    head: z
      .number()
      .int()
      .describe('Head that the reversal adds or takes away; null where no head change was reversed')
      .nullable(),
    headDays: z
      .number()
      .int()
      .describe('Head-days that earlier periods had too few of (above zero) or too many; null likewise')
      .nullable(),
    amount: moneyOut.describe('Cost at which earlier periods had too little (above zero) or too much'),
  })
  .meta({
    id: 'CorrectionOfEarlier',
    description: 'A record of an earlier period that was reversed in this one; not in the figures',
  });

/** Said of what came into a report later: a closing's stored reports never change. */
export const NOT_IN_OLDER = 'left out of reports stored before it was told';

export type Flag = { code: string; message: string };

/**
 * Marks a report over exactly a closed period as the one stored on the day of closing, and tells how to verify that.
 */
const closedOut = z
  .object({
    closingId: id,
    closedAt: instantOut.describe('When the period was closed'),
    sha256: z
      .string()
      .regex(/^[0-9a-f]{64}$/)
      .describe('SHA-256 of the stored report, as listed by the closing'),
  })
  .meta({ id: 'StoredWithClosing', description: 'The closing that a report was stored with' })
  .nullable()
  .describe('The closing, where this is the stored report of a closed period, which never changes; otherwise null');
export const frozenHead = { ...reportHead, closed: closedOut };
