import { z } from 'zod';
import { pageQuery, readCursor } from '../../platform/http/cursor.js';
import { day } from '../../platform/wire/common.schema.js';

/** Lists of dated records are newest first and can be narrowed to a range of days, `from` and `until` included. */
export const eventQuery = {
  ...pageQuery,
  from: day.optional().describe('First day, included'),
  until: day.optional().describe('Last day, included'),
};

const order = z.tuple([day, z.uuid()]);

/** Where the previous page ended: day and id. */
export function eventCursor(cursor: string | undefined): { day: string; id: string } | undefined {
  if (cursor === undefined) return undefined;
  const [on, id] = readCursor(cursor, order);
  return { day: on, id };
}
