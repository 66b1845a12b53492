import { z } from 'zod';

/** A caution of a trial, with the number that raised it and where its threshold comes from. */
export const trialCautionOut = z
  .object({
    code: z.string().describe('Stable code'),
    words: z.string().describe('In a sentence'),
    number: z
      .object({ value: z.number().describe('The number that raised it'), unit: z.string().describe('Its unit') })
      .nullable(),
    source: z.string().describe('Where the threshold comes from'),
  })
  .meta({ id: 'TrialCaution', description: 'A caution about what a trial can say' });
