import { z } from 'zod';

/** A caution of a trial, with the number that raised it and the source of its threshold. */
export const trialCautionOut = z
  .object({
    code: z.string().describe('Code that stays the same between releases'),
    words: z.string().describe('The same in a sentence'),
    number: z
      .object({
        value: z.number().describe('The figure that raised it'),
        unit: z.string().describe('Unit of the figure'),
      })
      .nullable(),
    source: z.string().describe('Where the threshold comes from'),
  })
  .meta({ id: 'TrialCaution', description: 'A caution about what a trial can say' });
