import type { Selectable } from 'kysely';
import type { DB, OperationTenant } from '../../platform/database/types.js';

export type ReversalRow = Selectable<DB['reversal']>;

/** The reversals of these records, if any, by the record's id. */
export async function reversalsOf(
  { db, operationId }: OperationTenant,
  subjectIds: readonly string[],
): Promise<Map<string, ReversalRow>> {
  if (subjectIds.length === 0) return new Map();
  const rows = await db
    .selectFrom('reversal')
    .selectAll()
    .where('operation_id', '=', operationId)
    .where('subject_id', 'in', [...subjectIds])
    .execute();
  return new Map(rows.map((row) => [row.subject_id, row]));
}
