import { z } from 'zod';
import { readCursor } from '../platform/http/cursor.js';

const order = z.tuple([z.string().max(200).regex(/^[^\u0000]*$/), z.uuid()]);

/** Lists of things with a name are ordered by name, then id: where the page before ended. */
export function nameCursor(cursor: string | undefined): { name: string; id: string } | undefined {
  if (cursor === undefined) return undefined;
  const [name, id] = readCursor(cursor, order);
  return { name, id };
}
