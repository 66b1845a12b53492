import { sql } from 'kysely';
import type { Queries } from './types.js';

/** A report that goes through this many movements holds the event loop for some 50 ms. */
const LONG = 500;

/** Whether an operation's ledger is long, as far as an index tells without counting it all. */
export async function hasLongLedger(db: Queries, operationId: string): Promise<boolean> {
  const { rows } = await sql<{ long: boolean }>`
    SELECT EXISTS (SELECT FROM stock_movement WHERE operation_id = ${operationId} ORDER BY sequence OFFSET ${LONG})
      AS long`.execute(db);
  return rows[0]?.long === true;
}
