import { z } from 'zod';
import { Problem } from './problem.js';

const PAGE_DEFAULT = 50;
const PAGE_MAX = 200;

/** What every list takes. The cursor is opaque: it comes from the Link header or `next` of the page before. */
export const pageQuery = {
  limit: z.coerce
    .number()
    .int()
    .min(1)
    .max(PAGE_MAX)
    .default(PAGE_DEFAULT)
    .describe(`Items per page, 1 to ${PAGE_MAX}`),
  cursor: z.string().max(500).optional().describe('Opaque: taken from the next link of the page before'),
};

/** What a list's query says about the page. */
export interface PageAsked {
  limit: number;
  cursor?: string | undefined;
}

export function writeCursor(order: readonly string[]): string {
  return Buffer.from(JSON.stringify(order), 'utf8').toString('base64url');
}

/** @throws Problem invalid-input where the text is no cursor of this list. */
export function readCursor<T extends z.ZodType>(cursor: string, order: T): z.output<T> {
  try {
    return order.parse(JSON.parse(Buffer.from(cursor, 'base64url').toString('utf8')));
  } catch {
    throw new Problem('invalid-input', undefined, [
      {
        parameter: 'cursor',
        code: 'not-a-cursor',
        given: cursor,
        allowed: 'the cursor of a next link of this list',
        message: 'This is not a cursor of this list.',
      },
    ]);
  }
}

/** Rows fetched with one more than asked for: the extra one only tells that there is a next page. */
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
    nextCursor: rows.length > limit && last !== undefined ? writeCursor(order(last)) : null,
  };
}

/** The answer of a list: the items of this page, and where the next one is. */
export function pageAnswer<T extends z.ZodType>(item: T) {
  return z.object({
    items: z.array(item),
    nextCursor: z.string().describe('Opaque cursor of the next page; absent on the last').nullable(),
  });
}
