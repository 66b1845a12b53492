import { sql } from 'kysely';
import type { OperationTenant } from './types.js';

/** Tables whose records people know by name. */
export type NamedTable = 'hay_lot' | 'herd' | 'ranch' | 'place' | 'person';

/** The names of these records, by id, as far as the person asking may see them. */
export async function recordNames(
  { db, operationId }: OperationTenant,
  table: NamedTable,
  ids: readonly string[],
): Promise<ReadonlyMap<string, string>> {
  if (ids.length === 0) return new Map();
  const inside = table === 'person' ? sql`true` : sql`operation_id = ${operationId}::uuid`;
  const { rows } = await sql<{ id: string; name: string }>`
    SELECT id, name FROM ${sql.table(table)} WHERE ${inside} AND id = ANY (${ids}::uuid[])`.execute(db);
  return new Map(rows.map(({ id, name }) => [id, name]));
}
