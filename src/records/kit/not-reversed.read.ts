import { type RawBuilder, sql } from 'kysely';

/**
 * For a query: keeps only records that were not reversed; as known at an earlier instant, those not reversed by then.
 * @param records the table or alias whose rows are meant
 * @param id its column that names the record, if not its own id
 * @param operationId for a subquery that has no such column
 */
export function notReversed(
  records: string,
  {
    id = 'id',
    operationId,
    knownAt,
  }: {
    readonly id?: string;
    readonly operationId?: string | RawBuilder<unknown>;
    readonly knownAt?: RawBuilder<unknown>;
  } = {},
): RawBuilder<boolean> {
  const operation = operationId === undefined ? sql.ref(`${records}.operation_id`) : sql`${operationId}`;
  const known = knownAt === undefined ? sql`` : sql` AND reversal.recorded_at <= ${knownAt}`;
  return sql<boolean>`NOT EXISTS (SELECT 1 FROM reversal
    WHERE reversal.operation_id = ${operation} AND reversal.subject_id = ${sql.ref(`${records}.${id}`)}${known})`;
}
