import { type SelectQueryBuilder, sql } from 'kysely';
import { z } from 'zod';
import { type PageAsked, readCursor } from '../../platform/http/cursor.js';

const order = z.tuple([
  z
    .string()
    .max(200)
    .regex(/^[^\u0000]*$/),
  z.uuid(),
]);

/** Lists of named records are sorted by name, then id: where the previous page ended. */
export function nameCursor(cursor: string | undefined): { name: string; id: string } | undefined {
  if (cursor === undefined) return undefined;
  const [name, id] = readCursor(cursor, order);
  return { name, id };
}

/** One page of named records, from where the previous page ended, with one row more than a page. */
export function byName<Tables, From extends keyof Tables, Row>(
  select: SelectQueryBuilder<Tables, From, Row>,
  query: PageAsked,
): SelectQueryBuilder<Tables, From, Row> {
  const after = nameCursor(query.cursor);
  const page = select
    .orderBy(sql`name`)
    .orderBy(sql`id`)
    .limit(query.limit + 1);
  return after === undefined ? page : page.where(sql<boolean>`(name, id) > (${after.name}, ${after.id}::uuid)`);
}
