import { decimalIn } from '../../../platform/wire/quantity.schema.js';

export const condition = decimalIn
  .refine(
    (value) => Number(value) >= 1 && Number(value) <= 9 && /^\d(\.\d)?$/.test(value),
    'must be 1 to 9 with at most one decimal place',
  )
  .describe('Body condition score, 1 to 9');
