import { type RawBuilder, sql } from 'kysely';

/**
 * For a query: keeps only records that were not reversed; as known at an earlier instant, those not reversed by then.
 * @param records the table or alias whose rows are meant
 * @param id its column that names the record, if not its own id
 * @param operationId for a subquery that has no such column
 * @param asOf keeps also what is reversed as of a later day than this one: it stands in an account that ends with it
 * (`fateOf` in `core/time/what-stands.ts`)
 */
export function notReversed(
  records: string,
  {
    id = 'id',
    operationId,
    knownAt,
    asOf,
  }: {
    readonly id?: string;
    readonly operationId?: string | RawBuilder<unknown>;
    readonly knownAt?: RawBuilder<unknown>;
    readonly asOf?: string | undefined;
  } = {},
): RawBuilder<boolean> {
  const operation = operationId === undefined ? sql.ref(`${records}.operation_id`) : sql`${operationId}`;
  const known = knownAt === undefined ? sql`` : sql` AND reversal.recorded_at <= ${knownAt}`;
  const until = asOf === undefined ? sql`` : sql` AND reversal.effective_on <= ${asOf}::date`;
  return sql<boolean>`NOT EXISTS (SELECT 1 FROM reversal
    WHERE reversal.operation_id = ${operation}
      AND reversal.subject_id = ${sql.ref(`${records}.${id}`)}${known}${until})`;
}
