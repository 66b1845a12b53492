import { z } from 'zod';
import { day, id } from '../platform/wire/common.schema.js';
import { currency, unitSystem } from '../platform/wire/quantity.schema.js';

/** What every report says about itself: whose books, which days, by what method, and what it rests on. */
export const reportHead = {
  operationId: id, operation: z.string().describe('Name of the operation'), invented: z.boolean().describe('True where the books are invented demo data'),
  currency, units: unitSystem.describe('Units of this answer'),
  method: z.string().describe('How the figures were worked out'),
  inputs: z.record(z.string(), z.number()).describe('How many records of each sort went in'),
  flags: z.array(z.object({ code: z.string().describe('Stable code'), message: z.string().describe('What a reader should know before relying on a figure') })).describe('Doubts and gaps'),
};

export const period = {
  from: day.describe('First day, included'),
  until: day.describe('Last day, included'),
};

export type Flag = { code: string; message: string };
