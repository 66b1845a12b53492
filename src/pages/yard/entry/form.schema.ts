import { z } from 'zod';
import { day, id } from '../../../platform/wire/common.schema.js';

const option = z.object({ value: z.string(), words: z.string() });

/** One field of a form as a page shows it. */
export const fieldShown = z.object({
  name: z.string(),
  label: z.string(),
  hint: z.string().nullable(),
  shows: z.enum(['text', 'figure', 'whole', 'day', 'choice', 'box', 'lines', 'hidden']),
  value: z.string(),
  options: z.array(option),
  unit: z.object({ name: z.string(), value: z.string(), options: z.array(option) }).nullable(),
  required: z.boolean(),
  least: z.number().int().nullable(),
  most: z.number().int().nullable(),
  longest: z.number().int().nullable(),
  problem: z.string().nullable(),
});
export type FieldShown = z.output<typeof fieldShown>;

/** What was entered by the form before, read back. */
export const enteredShown = z.object({ title: z.string(), lines: z.array(z.string()), warnings: z.array(z.string()) });
export type EnteredShown = z.output<typeof enteredShown>;

/** A form with what it needs to be sent once, by the person whose page it is. */
export const formShown = z.object({
  operationId: id,
  operation: z.string(),
  invented: z.boolean(),
  title: z.string(),
  /** The last steps of the address that takes it. */
  what: z.string(),
  button: z.string(),
  fields: z.array(fieldShown),
  once: z.string(),
  by: id,
  onDay: day,
  /** Codes that a second press says yes to; null where nothing is asked. */
  confirm: z.string().nullable(),
  problem: z.object({ title: z.string(), words: z.array(z.string()) }).nullable(),
  entered: enteredShown.nullable(),
  /** Other ways from here, such as to a lot that is not in the books yet. */
  besides: z.array(z.object({ href: z.string(), words: z.string() })),
});
export type FormShown = z.output<typeof formShown>;
