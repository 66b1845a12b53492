import { z } from 'zod';
import { isPlainText } from './plain-text.js';

/** Pieces that every schema uses: ids, days, instants, names, notes. */
/** Accepted in either case and lower case from there on, so that one record has one id. */
export const id = z
  .uuid()
  .toLowerCase()
  .meta({ id: 'Id', description: 'UUID; the server makes version 7, which sorts by time' });

/** A calendar day at the ranch; no time, no zone. */
export const day = z.iso
  .date({ abort: true })
  .refine((value) => value >= '1990-01-01' && value <= '2100-12-31', 'must be from 1990-01-01 to 2100-12-31')
  .meta({ id: 'Day', description: "Calendar day, YYYY-MM-DD, in the ranch's own time zone" });

export const instantIn = z.iso
  .datetime({ offset: true, abort: true })
  .refine((value) => value >= '1990' && value < '2101', 'must be from 1990 to 2100')
  .meta({ id: 'InstantWithOffset', description: 'Date and time with its offset from UTC, RFC 3339' });
export const instantOut = z.iso
  .datetime({ offset: true, abort: true })
  .meta({ id: 'Instant', description: 'Date and time in UTC, RFC 3339' });

/** A visible character: a letter, a number or a symbol. */
const SHOWS = /[\p{L}\p{N}\p{P}\p{S}]/u;
/**
 * Signs that are never shown (Unicode's Default_Ignorable_Code_Point), by which two names that look alike would be two:
 * no name may have them, but for the joiners of some scripts and the selectors of emoji (PRECIS, RFC 8264, 9.13).
 */
const HIDDEN = /(?![\u200c\u200d\ufe00-\ufe0f])\p{Default_Ignorable_Code_Point}/u;
const isOneLine = (text: string): boolean =>
  !/[\n\t]/.test(text) && isPlainText(text) && SHOWS.test(text) && !HIDDEN.test(text);
/** Text that a person writes, trimmed. */
export const line = (max: number) =>
  z
    .string()
    .trim()
    .min(1)
    .max(max)
    .refine(isOneLine, 'must be one line of plain text, without signs that are not shown');
export const name = line(120).meta({
  id: 'Name',
  description: 'A name, one line of plain text of at most 120 characters',
});
export const note = z
  .string()
  .trim()
  .max(2000)
  .refine(isPlainText, 'must be plain text')
  .meta({ id: 'Note', description: 'Free text of at most 2,000 characters' });
export const reason = line(500).meta({
  id: 'Reason',
  description: 'Why this is done, in one line; kept with the record',
});

export const timeZone = z
  .string()
  .max(60)
  .refine((zone) => {
    try {
      new Intl.DateTimeFormat('en', { timeZone: zone });
      return true;
    } catch {
      return false;
    }
  }, 'must be an IANA time zone such as America/Denver')
  .meta({ id: 'TimeZone', description: 'IANA time zone, such as America/Denver' });

export const operationParams = z.object({ operationId: id });

export const version = z
  .number()
  .int()
  .min(1)
  .meta({ id: 'Version', description: 'Goes up by one with every change; the ETag is made from it' });

/**
 * A whole number of a query, written in digits: Number() would read "1e2" as 100, "0x10" as 16 and "" as 0. Set its
 * default with `prefault`: the API description shows no `default` for a converted value.
 */
export const wholeNumber = (least: number, most?: number) => {
  const bounded = z.number().int().min(least);
  return z.preprocess(
    (given: unknown, context) => {
      if (/^-?[0-9]+$/.test(String(given))) return Number(given);
      context.addIssue({ code: 'invalid_type', expected: 'int', input: given });
      return z.NEVER;
    },
    most === undefined ? bounded : bounded.max(most),
  );
};
