import { type SelectQueryBuilder, sql } from 'kysely';
import { eventCursor } from './day-range.js';

/** One page of dated records, newest first: the days asked for, from where the page before ended, one row more than a page. */
export function newestFirst<Tables, From extends keyof Tables, Row>(
  select: SelectQueryBuilder<Tables, From, Row>, query: { from?: string | undefined; until?: string | undefined; cursor?: string | undefined; limit: number },
): SelectQueryBuilder<Tables, From, Row> {
  const before = eventCursor(query.cursor);
  let page = select.orderBy(sql`happened_on`, 'desc').orderBy(sql`id`, 'desc').limit(query.limit + 1);
  if (query.from !== undefined) page = page.where(sql<boolean>`happened_on >= ${query.from}::date`);
  if (query.until !== undefined) page = page.where(sql<boolean>`happened_on <= ${query.until}::date`);
  if (before !== undefined) page = page.where(sql<boolean>`(happened_on, id) < (${before.day}::date, ${before.id}::uuid)`);
  return page;
}
