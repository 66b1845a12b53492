import { type Insertable, type RawBuilder, type Selectable, sql, type Transaction, type Updateable } from 'kysely';
import { newId } from '../identifiers.js';
import type { DB, OperationTenant } from './types.js';

type Stamp = 'operation_id' | 'id' | 'recorded_at' | 'recorded_by' | 'created_at' | 'version';

/** A row as a store takes it: its content, without what the transaction stamps on every row. */
export type NewRow<Table extends keyof DB> = Omit<Insertable<DB[Table]>, Stamp>;

/** The columns that a change sets; those left out stay as they are. */
export type ChangedRow<Table extends keyof DB> = Partial<Omit<Updateable<DB[Table]>, Stamp>>;

/** Columns of every record: whose books, which record, when and by whom. */
export function recordStamp(
  { operationId, moment, personId }: OperationTenant,
  id = newId(),
): { operation_id: string; id: string; recorded_at: string; recorded_by: string } {
  return { operation_id: operationId, id, recorded_at: moment.toISOString(), recorded_by: personId };
}

/** First columns of everything that belongs to an operation: whose it is, which one, since when. */
export function thingStamp(
  { operationId, moment }: Pick<OperationTenant, 'operationId' | 'moment'>,
  id = newId(),
): { operation_id: string; id: string; created_at: string } {
  return { operation_id: operationId, id, created_at: moment.toISOString() };
}

/**
 * Adds rows in one statement. Their values travel as one parameter, so that the text, and with it the plan, is the same
 * for one row as for a thousand. A column that none of them names gets its default.
 */
export async function insertRows<Table extends keyof DB>(
  db: Transaction<DB>,
  table: Table,
  rows: readonly Insertable<DB[Table]>[],
): Promise<void> {
  if (rows.length > 0) await insertion(table, rows, sql``).execute(db);
}

/** The same, with the rows as they were added, in their order. */
export async function insertedRows<Table extends keyof DB>(
  db: Transaction<DB>,
  table: Table,
  rows: readonly Insertable<DB[Table]>[],
): Promise<Selectable<DB[Table]>[]> {
  return rows.length === 0 ? [] : (await insertion(table, rows, sql`RETURNING *`).execute(db)).rows;
}

function insertion<Table extends keyof DB>(
  table: Table,
  rows: readonly Insertable<DB[Table]>[],
  returning: RawBuilder<unknown>,
): RawBuilder<Selectable<DB[Table]>> {
  const named = new Set<string>();
  for (const row of rows as readonly Readonly<Record<string, unknown>>[])
    for (const name in row) if (row[name] !== undefined) named.add(name);
  const columns = sql.join([...named].map((name) => sql.ref(name)));
  return sql`INSERT INTO ${sql.table(table)} (${columns})
    SELECT ${columns} FROM json_populate_recordset(NULL::${sql.table(table)}, ${JSON.stringify(rows)}::json)
    ${returning}`;
}
