import { z } from 'zod';

/** What is unlikely of a weight, though not impossible. */
export const weightWarnings = z
  .array(
    z
      .object({
        code: z.string().describe('Code that stays the same between releases'),
        message: z.string().describe('What speaks against the weight, and what to check'),
      })
      .meta({ id: 'WeightWarning', description: 'An unlikely weight; it is believed until it is reversed' }),
  )
  .describe('Weights that are unlikely for the class, or beside the weight before or after; empty where none is');
