import { type RawBuilder, sql } from 'kysely';

/**
 * Of an entry that was posted late in place of one that was taken back: the day told for it; null for any other.
 *
 * @param entry the table, or its alias, of entries with an `operation_id`
 * @param id its column that names the entry, if not its own id
 */
export function toldInPlace(entry: string, id = 'id'): RawBuilder<string | null> {
  return sql`(SELECT told.told_on FROM late_posting told
    WHERE told.operation_id = ${sql.ref(`${entry}.operation_id`)} AND told.subject_id = ${sql.ref(`${entry}.${id}`)}
      AND told.subject_kind <> 'reversal' AND told.corrects_id IS NOT NULL)`;
}
