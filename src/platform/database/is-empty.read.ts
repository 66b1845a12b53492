import { sql, type Transaction } from 'kysely';
import type { DB } from './types.js';

/** Whether the database has no person and no operation, whoever's (prisma/guards/90-at-the-start.sql). */
export async function isEmpty(db: Transaction<DB>): Promise<boolean> {
  const { rows } = await sql<{ empty: boolean }>`SELECT rickyard.is_empty() AS empty`.execute(db);
  return rows[0]?.empty === true;
}
