import { Injectable } from '@nestjs/common';
import { sql, type Transaction } from 'kysely';
import type { DB } from '../../platform/database/types.js';
import type { ArchiveRecord } from './archive-format.js';
import { operationTables } from './archive-tables.read.js';

/** A few milliseconds of work in this thread. */
const BATCH = 500;

/** The hash of a code that is good on this server only. */
const SECRET_COLUMN = 'code_hash';

/**
 * Reads every record of an operation that the person asking may see: row-level security decides what goes into the
 * archive.
 */
@Injectable()
export class ArchiveRead {
  /** One statement, so that the whole archive shows one instant, however slowly it is taken. */
  async *records(
    db: Transaction<DB>,
    operationId: string,
    leftOut: Readonly<Record<string, string>>,
  ): AsyncGenerator<ArchiveRecord[]> {
    const tables = (await operationTables(db)).filter(({ name }) => leftOut[name] === undefined);
    const people =
      leftOut['membership'] === undefined
        ? [
            sql`
      SELECT 0 AS place, row_number() OVER (ORDER BY p.id) AS n, 'person' AS table_name, jsonb_build_object('id', p.id,
        'email', p.email, 'name', p.name, 'created_at', p.created_at)::text AS content
        FROM person p WHERE p.id IN (SELECT m.person_id FROM membership m WHERE m.operation_id = ${operationId}::uuid)`,
          ]
        : [];
    const operation = sql`SELECT 1 AS place, 1::bigint AS n, 'operation' AS table_name, to_jsonb(o)::text AS content
      FROM operation o WHERE o.id = ${operationId}::uuid`;
    const columnsOut = (table: string): string[] => [
      SECRET_COLUMN,
      ...Object.keys(leftOut).flatMap((one) => (one.startsWith(`${table}.`) ? [one.slice(table.length + 1)] : [])),
    ];
    const others = tables.map(
      ({ name, key }, index) => sql`
      SELECT ${sql.lit(index + 2)} AS place,
        row_number() OVER (ORDER BY ${sql.join(key.map((column) => sql.ref(`t.${column}`)))}) AS n,
        ${sql.lit(name)} AS table_name, (to_jsonb(t) - ${columnsOut(name)}::text[])::text AS content
        FROM ${sql.table(name)} t WHERE t.operation_id = ${operationId}::uuid`,
    );
    await sql`DECLARE archive NO SCROLL CURSOR FOR
      SELECT table_name, content FROM (${sql.join([...people, operation, ...others], sql` UNION ALL `)}) AS everything
        ORDER BY place, n`.execute(db);
    for (;;) {
      const { rows } = await sql<{
        table_name: string;
        content: string;
      }>`FETCH FORWARD ${sql.lit(BATCH)} FROM archive`.execute(db);
      if (rows.length > 0) yield rows.map((row) => ({ table: row.table_name, row: row.content }));
      if (rows.length < BATCH) break;
    }
    await sql`CLOSE archive`.execute(db);
  }
}
