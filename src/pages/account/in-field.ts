import { z } from 'zod';

/** A value that a script put into a field of a form, as JSON. */
export const inField = <Schema extends z.ZodType>(schema: Schema) =>
  z
    .string()
    .max(16_000)
    .transform((text, context): unknown => {
      try {
        return JSON.parse(text);
      } catch {
        context.addIssue({ code: 'custom', message: 'must be JSON' });
        return z.NEVER;
      }
    })
    .pipe(schema);
