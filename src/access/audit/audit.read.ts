import { Injectable } from '@nestjs/common';
import { type Selectable, sql, type Transaction } from 'kysely';
import { z } from 'zod';
import { inIdOrder } from '../../platform/database/id-order.js';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { type PageAsked, readCursor } from '../../platform/http/cursor.js';
import type { AuditHead } from './signed-head.js';
import type { RestoreTold } from './signed-restore.js';

/** A line with the name of the person who acted, and its time as the chain holds it. */
export type AuditLine = Selectable<DB['audit_entry']> & {
  person_name: string | null;
  person_email_proven_at: string | null;
  recorded: string;
};
export type DeniedAttemptRow = Selectable<DB['denied_attempt']>;

/** Which lines are asked for. */
export interface AuditAsked {
  from?: string | undefined;
  until?: string | undefined;
  personId?: string | undefined;
  apiKeyId?: string | undefined;
  subjectId?: string | undefined;
  /** One action, or all actions on one kind of record. */
  action?: string | undefined;
}

/** What the database found when it recomputed the chain. */
export interface ChainFound {
  lines: number;
  firstBreak: number | null;
  lastHash: string | null;
}

export interface RestoreLine {
  sequence: number;
  recorded: string;
  told: RestoreTold;
}

@Injectable()
export class AuditRead {
  /** Newest first. */
  async page(tenant: OperationTenant, query: AuditAsked & PageAsked): Promise<AuditLine[]> {
    const rows = lines(tenant, query)
      .orderBy('sequence', 'desc')
      .limit(query.limit + 1);
    if (query.cursor === undefined) return rows.execute();
    return rows
      .where('sequence', '<', readCursor(query.cursor, z.tuple([z.string().regex(/^\d{1,15}$/)]))[0])
      .execute();
  }

  /** In the order of the chain: a number of lines after a given one. */
  async following(tenant: OperationTenant, query: AuditAsked & { after: number }, most: number): Promise<AuditLine[]> {
    return lines(tenant, query).where('sequence', '>', String(query.after)).orderBy('sequence').limit(most).execute();
  }

  /** The database computes each link again. */
  async chain({ db, operationId }: Pick<OperationTenant, 'db' | 'operationId'>): Promise<ChainFound> {
    const { rows } = await sql<{ lines: string; first_break: string | null; last_hash: string | null }>`
      SELECT * FROM rickyard.audit_chain(${operationId}::uuid)`.execute(db);
    const [found] = rows;
    return {
      lines: Number(found?.lines ?? 0),
      firstBreak: typeof found?.first_break === 'string' ? Number(found.first_break) : null,
      lastHash: found?.last_hash ?? null,
    };
  }

  /** The last line of every operation's chain. */
  async heads(db: Transaction<DB>): Promise<Omit<AuditHead, 'signedAt'>[]> {
    const { rows } = await sql<{ operation_id: string; sequence: string; chain_hash: string }>`
      SELECT * FROM rickyard.audit_heads()`.execute(db);
    return rows.map((row) => ({
      operationId: row.operation_id,
      sequence: Number(row.sequence),
      chainHash: row.chain_hash,
    }));
  }

  /** From which archives the operation was restored, in the order of the chain. */
  async restores({ db, operationId }: Pick<OperationTenant, 'db' | 'operationId'>): Promise<RestoreLine[]> {
    const { rows } = await sql<{ sequence: string; recorded: string; told: RestoreTold }>`
      SELECT r.sequence, r.recorded, r.told FROM rickyard.audit_restores(${operationId}::uuid) r`.execute(db);
    return rows.map((row) => ({ ...row, sequence: Number(row.sequence) }));
  }

  /** What the chain holds now at the place of a head, and whether its operation was deleted in due form. */
  async place(
    db: Transaction<DB>,
    { operationId, sequence }: Pick<AuditHead, 'operationId' | 'sequence'>,
  ): Promise<{ chainHash: string | null; erased: boolean }> {
    const { rows } = await sql<{ chain_hash: string | null; erased: boolean }>`
      SELECT * FROM rickyard.audit_place(${operationId}::uuid, ${sequence}::bigint)`.execute(db);
    return { chainHash: rows[0]?.chain_hash ?? null, erased: rows[0]?.erased === true };
  }

  /** Who was turned away, newest first. */
  async denied({ db, operationId }: OperationTenant, query: PageAsked): Promise<DeniedAttemptRow[]> {
    return inIdOrder(
      db.selectFrom('denied_attempt').selectAll().where('operation_id', '=', operationId),
      query,
      'desc',
    ).execute();
  }
}

function lines({ db, operationId }: OperationTenant, filters: AuditAsked) {
  let rows = db
    .selectFrom('audit_entry')
    .leftJoin('person', 'person.id', 'audit_entry.person_id')
    .selectAll('audit_entry')
    .select(['person.name as person_name', 'person.email_proven_at as person_email_proven_at'])
    .select(
      sql<string>`to_char(audit_entry.recorded_at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US"Z"')`.as('recorded'),
    )
    .where('audit_entry.operation_id', '=', operationId);
  if (filters.from !== undefined)
    rows = rows.where('audit_entry.recorded_at', '>=', new Date(filters.from).toISOString());
  if (filters.until !== undefined)
    rows = rows.where('audit_entry.recorded_at', '<', new Date(filters.until).toISOString());
  if (filters.personId !== undefined) rows = rows.where('audit_entry.person_id', '=', filters.personId);
  if (filters.apiKeyId !== undefined) rows = rows.where('audit_entry.api_key_id', '=', filters.apiKeyId);
  if (filters.subjectId !== undefined) rows = rows.where('audit_entry.subject_id', '=', filters.subjectId);
  if (filters.action !== undefined)
    rows = filters.action.includes('.')
      ? rows.where('audit_entry.action', '=', filters.action)
      : rows.where('audit_entry.action', 'like', `${filters.action}.%`);
  return rows;
}
