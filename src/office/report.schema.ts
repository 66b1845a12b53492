import { z } from 'zod';
import { day, id, instantOut } from '../platform/wire/common.schema.js';
import { currency, unitSystem } from '../platform/wire/quantity.schema.js';

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
