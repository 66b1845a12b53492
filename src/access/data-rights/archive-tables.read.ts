import { sql, type Transaction } from 'kysely';
import type { DB } from '../../platform/database/types.js';

/**
 * Tables of an operation that its archive leaves out, each with the reason. Every other table is in it, including those
 * that later releases add.
 */
export const NOT_IN_ARCHIVE: Readonly<Record<string, string>> = {
  api_key: 'a secret, good on this server only',
  invitation: 'holds the hash of a token that is good on this server only',
  recovery_token: 'holds the hash of a token that is good on this server only',
  engagement_archive: "the consultant's own copy",
  webhook: 'holds a secret, and sends from this server only: another has its owner make them anew',
  webhook_delivery: 'what this server told others; what it was about is in the records and the audit',
  webhook_attempt: 'what this server told others; what it was about is in the records and the audit',
  operation_deletion: "concerns this server's copy of the books only",
};

/**
 * What a consultant keeps after the end: the records, but nothing about other people, their keys or what they did.
 * Tables, and single columns as `table.column`.
 */
export const NOT_IN_CONSULTANTS_COPY: Readonly<Record<string, string>> = {
  ...NOT_IN_ARCHIVE,
  membership: "who else belongs to the operation is not the consultant's to keep",
  membership_change: "who else belonged to the operation is not the consultant's to keep",
  engagement: "other consultants' agreements are the operation's own",
  audit_entry: "the owner's alone",
  denied_attempt: "the owner's alone",
  'data_import.file_sha256': 'beside the rest of a row it tells the price, also to one who saw none',
};

export interface ArchiveTable {
  name: string;
  /** Columns of the primary key, by which rows are sorted. */
  key: string[];
}

/** Every table that holds rows of operations, according to the catalogue. */
export async function operationTables(db: Transaction<DB>): Promise<ArchiveTable[]> {
  const { rows } = await sql<{ name: string; key: string[] }>`
    SELECT c.relname::text AS name, array_agg(k.attname::text
      ORDER BY array_position(i.indkey::int2[], k.attnum)) AS key
      FROM pg_class c
      JOIN pg_attribute a ON a.attrelid = c.oid AND a.attname = 'operation_id' AND NOT a.attisdropped
      JOIN pg_index i ON i.indrelid = c.oid AND i.indisprimary
      JOIN pg_attribute k ON k.attrelid = c.oid AND k.attnum = ANY (i.indkey::int2[])
     WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p')
     GROUP BY c.relname ORDER BY c.relname`.execute(db);
  return rows;
}
