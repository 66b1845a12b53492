import { sql } from 'kysely';
import type { Queries } from './types.js';

/** An answer that goes through this many movements, or tells so many lines, holds the event loop for some 50 ms. */
const LONG = 500;
/** A report that judges what each of these herds eats holds it for some 30 ms. */
const MANY_HERDS = 5;

/** Whether an operation's ledger is long, as far as an index tells without counting it all. */
export async function hasLongLedger(db: Queries, operationId: string): Promise<boolean> {
  const { rows } = await sql<{ long: boolean }>`
    SELECT EXISTS (SELECT FROM stock_movement WHERE operation_id = ${operationId} ORDER BY sequence OFFSET ${LONG})
      AS long`.execute(db);
  return rows[0]?.long === true;
}

/** Whether an operation's audit is long, in the same way. */
export async function hasLongAudit(db: Queries, operationId: string): Promise<boolean> {
  const { rows } = await sql<{ long: boolean }>`
    SELECT EXISTS (SELECT FROM audit_entry WHERE operation_id = ${operationId} ORDER BY sequence OFFSET ${LONG})
      AS long`.execute(db);
  return rows[0]?.long === true;
}

/** @param operationId Without it, of all operations of the person who asks. */
export async function hasManyHerds(db: Queries, operationId: string | undefined): Promise<boolean> {
  const { rows } = await sql<{ many: boolean }>`
    SELECT EXISTS (SELECT FROM herd WHERE operation_id = ${operationId ?? sql`operation_id`} OFFSET ${MANY_HERDS})
      AS many`.execute(db);
  return rows[0]?.many === true;
}
