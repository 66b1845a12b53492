import { z } from 'zod';

const entryWarning = z
  .object({
    code: z.string().describe('Code that stays the same between releases'),
    message: z.string().describe('What speaks against the entry, and what to check'),
  })
  .meta({ id: 'EntryWarning', description: 'An unlikely entry; it is believed until it is reversed' });

/** What is unlikely of an entry, though not impossible. */
export type EntryWarning = z.input<typeof entryWarning>;

export const entryWarnings = z
  .array(entryWarning)
  .describe(
    'What is unlikely of it: a weight for the class or beside the weight before or after, or a calving for its ' +
      'breeding; empty where nothing is',
  );
