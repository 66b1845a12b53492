import { createHash } from 'node:crypto';
import { z } from 'zod';
import { withArticle } from '../../core/units/counted.js';
import { wholeNumber } from '../wire/common.schema.js';
import { Problem } from './problem.js';

const PAGE_DEFAULT = 50;
const PAGE_MAX = 200;

/** Parameters of every list. The cursor is opaque: it comes from the Link header or `next` of the previous page. */
export const pageQuery = {
  limit: wholeNumber(1, PAGE_MAX)
    .prefault(PAGE_DEFAULT)
    .meta({ id: 'PageLimit', description: `Items per page, 1 to ${PAGE_MAX}` }),
  cursor: z
    .string()
    .max(500)
    .meta({ id: 'PageCursor', description: 'Opaque: taken from the next link of the page before' })
    .optional(),
};

/** The page asked for in a list's query. */
export interface PageAsked {
  limit: number;
  cursor?: string | undefined;
}

export function formatCursor(order: readonly string[]): string {
  return Buffer.from(JSON.stringify(order), 'utf8').toString('base64url');
}

/** @throws Problem invalid-input where the text is not a cursor of this list. */
export function readCursor<T extends z.ZodType>(cursor: string, order: T): z.output<T> {
  try {
    return order.parse(JSON.parse(Buffer.from(cursor, 'base64url').toString('utf8')));
  } catch {
    throw notACursor(cursor);
  }
}

function notACursor(given: string): Problem {
  return new Problem('invalid-input', undefined, [
    {
      parameter: 'cursor',
      code: 'not-a-cursor',
      given,
      allowed: 'the cursor of a next link of this list',
      message: 'This is not a cursor of this list.',
    },
  ]);
}

/** A cursor as sent: marked with its list, since cursors of another list may look alike. */
export function markedCursor(list: string, cursor: string): string {
  return markOf(list) + cursor;
}

/** The cursor without the mark. @throws Problem invalid-input where it is marked for another list. */
export function unmarkedCursor(list: string, sent: string): string {
  const mark = markOf(list);
  if (!sent.startsWith(mark)) throw notACursor(sent);
  return sent.slice(mark.length);
}

function markOf(list: string): string {
  return createHash('sha256').update(list).digest('base64url').slice(0, 8);
}

/** Rows fetched with one more than asked for: the extra one only shows that there is a next page. */
export function pageOf<Row, Item>(
  rows: readonly Row[],
  limit: number,
  item: (row: Row) => Item,
  order: (row: Row) => readonly string[],
): { items: Item[]; nextCursor: string | null } {
  const shown = rows.slice(0, limit);
  const last = shown.at(-1);
  return {
    items: shown.map(item),
    nextCursor: rows.length > limit && last !== undefined ? formatCursor(order(last)) : null,
  };
}

/**
 * The answer of a list: the items of this page, and where the next one is. A page of named items is a component of the
 * API description under that name, shared by all lists of such items.
 */
export function pageAnswer<T extends z.ZodType>(item: T): PageAnswer<T> {
  const known = PAGES_OF.get(item) as PageAnswer<T> | undefined;
  if (known !== undefined) return known;
  const page = newPageAnswer(item);
  const itemName = z.globalRegistry.get(item)?.id;
  const described =
    itemName === undefined
      ? page
      : page.meta({ id: `${itemName}Page`, description: `One page of a list; each item is ${withArticle(itemName)}` });
  PAGES_OF.set(item, described);
  return described;
}
const PAGES_OF = new WeakMap<z.ZodType, z.ZodType>();

type PageAnswer<T extends z.ZodType> = ReturnType<typeof newPageAnswer<T>>;
const newPageAnswer = <T extends z.ZodType>(item: T) =>
  z.object({
    items: z.array(item).describe('The items of this page, in the order of the list'),
    nextCursor: z
      .string()
      .nullable()
      .describe('Cursor of the next page, to be sent back unchanged; null on the last page'),
  });
