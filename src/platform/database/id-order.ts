import { type SelectQueryBuilder, sql } from 'kysely';
import { z } from 'zod';
import { type PageAsked, readCursor } from '../http/cursor.js';

/**
 * One page of rows in the order of their ids, which is the order of creation: from where the previous page ended, with
 * one row more than a page.
 */
export function inIdOrder<Tables, From extends keyof Tables, Row>(
  select: SelectQueryBuilder<Tables, From, Row>,
  query: PageAsked,
  order: 'asc' | 'desc',
  column = 'id',
): SelectQueryBuilder<Tables, From, Row> {
  const id = sql.ref(column);
  const page = select.orderBy(id, order).limit(query.limit + 1);
  if (query.cursor === undefined) return page;
  const [last] = readCursor(query.cursor, z.tuple([z.uuid()]));
  return page.where(order === 'asc' ? sql<boolean>`${id} > ${last}::uuid` : sql<boolean>`${id} < ${last}::uuid`);
}
