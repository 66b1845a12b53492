import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import { z } from 'zod';
import { inIdOrder } from '../../platform/database/id-order.js';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { type PageAsked, readCursor } from '../../platform/http/cursor.js';

/** A line with the name of the person who acted, and its time as the chain holds it. */
export type AuditLine = Selectable<DB['audit_entry']> & { person_name: string | null; recorded: string };
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

  /** The database recomputes each link the way rickyard.chain_audit_entry() does. */
  async chain({ db, operationId }: OperationTenant): Promise<ChainFound> {
    const { rows } = await sql<{ lines: string; first_break: string | null; last_hash: string | null }>`
      WITH links AS (
        SELECT a.sequence, a.chain_hash, row_number() OVER (ORDER BY a.sequence) AS place,
               encode(sha256(convert_to(jsonb_build_array(COALESCE(lag(a.chain_hash) OVER (ORDER BY a.sequence), ''),
                 a.operation_id, a.sequence,
                 to_char(a.recorded_at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US'), a.person_id, a.api_key_id,
                   a.request_id, a.address, a.action,
                 a.subject_kind, a.subject_id, a.before, a.after)::text, 'UTF8')), 'hex') AS should_be
          FROM audit_entry a WHERE a.operation_id = ${operationId}::uuid
      )
      SELECT count(*) AS lines, min(place) FILTER (WHERE chain_hash <> should_be OR sequence <> place) AS first_break,
             (SELECT l.chain_hash FROM links l ORDER BY l.sequence DESC LIMIT 1) AS last_hash
        FROM links`.execute(db);
    const [found] = rows;
    return {
      lines: Number(found?.lines ?? 0),
      firstBreak: typeof found?.first_break === 'string' ? Number(found.first_break) : null,
      lastHash: found?.last_hash ?? null,
    };
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
    .select('person.name as person_name')
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
