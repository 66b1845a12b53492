import { type SelectQueryBuilder, sql } from 'kysely';
import type { PageAsked } from '../../platform/http/cursor.js';
import { eventCursor } from './day-range.js';

/** What the query of a list says about its page of dated records. */
export interface EventsAsked extends PageAsked {
  from?: string | undefined;
  until?: string | undefined;
}

/**
 * One page of dated records, newest first: the days asked for, from where the previous page ended, with one row more
 * than a page.
 */
export function newestFirst<Tables, From extends keyof Tables, Row>(
  select: SelectQueryBuilder<Tables, From, Row>,
  query: EventsAsked,
): SelectQueryBuilder<Tables, From, Row> {
  const before = eventCursor(query.cursor);
  let page = select
    .orderBy(sql`happened_on`, 'desc')
    .orderBy(sql`id`, 'desc')
    .limit(query.limit + 1);
  if (query.from !== undefined) page = page.where(sql<boolean>`happened_on >= ${query.from}::date`);
  if (query.until !== undefined) page = page.where(sql<boolean>`happened_on <= ${query.until}::date`);
  if (before !== undefined)
    page = page.where(sql<boolean>`(happened_on, id) < (${before.day}::date, ${before.id}::uuid)`);
  return page;
}
