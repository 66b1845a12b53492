import { z } from 'zod';
import type { Doubt } from '../database/doubts.js';
import { unitsQuery } from './quantity.schema.js';

const CODES = /^[a-z0-9-]+(,[a-z0-9-]+)*$/;

const confirm = z
  .string()
  .max(2000)
  .regex(CODES, 'must be codes of a confirm problem, with commas between them')
  .transform((codes) => codes.split(','))
  .meta({
    id: 'ConfirmedCodes',
    description:
      'What is unlikely of the entry and right all the same: the codes of the confirm problem that the request was ' +
      'answered with, with commas between them',
  })
  .optional();

/** What every address that may ask takes: a yes to what it asked. */
export const confirmQuery = { confirm };
/** The query of an entry of the books. */
export const entryQuery = { ...unitsQuery, ...confirmQuery };

/** The codes that a request says yes to. */
export function confirmedIn(query: unknown): readonly string[] {
  return (query as { confirm?: readonly string[] } | undefined)?.confirm ?? [];
}

export const confirmedReason = z.object({
  code: z.string().describe('Code that stays the same between releases'),
  pointer: z.string().describe('The field that it is about: a JSON Pointer into the body of the entry'),
  given: z.string().describe('What was given, or comes of it'),
  usual: z.string().describe('What would not have been asked about'),
  source: z.string().describe('Where the usual range comes from'),
  message: z.string().describe('What speaks against the entry, in a sentence'),
});

export const confirmedOut = z
  .array(confirmedReason)
  .describe('What is unlikely of it and was confirmed when it was entered; empty where nothing is');

type Confirmed = z.input<typeof confirmedReason>;

/** What is told of doubts that were confirmed; those about money to whoever sees prices. */
export function confirmedAnswer(doubts: readonly Doubt[], seesPrices: boolean): Confirmed[] {
  return doubts
    .filter(({ aboutMoney }) => seesPrices || aboutMoney !== true)
    .map(({ code, pointer, given, usual, source, message }) => ({ code, pointer, given, usual, source, message }));
}
