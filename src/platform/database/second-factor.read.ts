import { sql, type Transaction } from 'kysely';
import type { DB } from './types.js';

/**
 * Has this person one-time codes or a passkey? The rule is the database's, which lets nobody without one into an
 * operation that asks for it. In a transaction that is that person's.
 */
export async function hasSecondFactor(db: Transaction<DB>, personId: string): Promise<boolean> {
  const { rows } = await sql<{ has: boolean }>`SELECT rickyard.has_second_factor(${personId}::uuid) AS has`.execute(db);
  return rows[0]?.has === true;
}
