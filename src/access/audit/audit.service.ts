import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import { z } from 'zod';
import { Database } from '../../platform/database/database.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { pageOf, readCursor } from '../../platform/http/cursor.js';
import type { AnswerOf, CallOf } from '../../platform/http/endpoint.js';
import { type listAudit, type listDeniedAttempts, type verifyAudit, EXPORT_MOST, type exportAudit } from './audit.schema.js';

type Filters = Omit<CallOf<typeof listAudit>['query'], 'limit' | 'cursor'>;

/** The owner's look at who did what, and at who was turned away. */
@Injectable()
export class AuditService {
  constructor(private readonly database: Database) {}

  async list({ asker, params, query }: CallOf<typeof listAudit>): Promise<AnswerOf<typeof listAudit>> {
    return this.database.readIn(asker, params.operationId, async (tenant) => {
      let rows = entries(tenant, query).orderBy('sequence', 'desc').limit(query.limit + 1);
      if (query.cursor !== undefined) rows = rows.where('sequence', '<', readCursor(query.cursor, z.tuple([z.string().regex(/^\d{1,15}$/)]))[0]);
      return pageOf(await rows.execute(), query.limit, written, (row) => [row.sequence]);
    });
  }

  async export({ asker, params, query }: CallOf<typeof exportAudit>): Promise<AnswerOf<typeof exportAudit>> {
    return this.database.readIn(asker, params.operationId, async (tenant) => {
      const rows = await entries(tenant, query).where('sequence', '>', String(query.after)).orderBy('sequence').limit(EXPORT_MOST + 1).execute();
      const items = rows.slice(0, EXPORT_MOST).map(written);
      return { items, moreAfter: rows.length > EXPORT_MOST ? items.at(-1)?.sequence ?? null : null };
    });
  }

  /** The database computes each link again, in the words of rickyard.chain_audit_entry(). */
  async verify({ asker, params }: CallOf<typeof verifyAudit>): Promise<AnswerOf<typeof verifyAudit>> {
    return this.database.readIn(asker, params.operationId, async ({ db }) => {
      const { rows } = await sql<{ lines: string; first_break: string | null; last_hash: string | null }>`
        WITH links AS (
          SELECT a.sequence, a.chain_hash, row_number() OVER (ORDER BY a.sequence) AS place,
                 encode(sha256(convert_to(jsonb_build_array(COALESCE(lag(a.chain_hash) OVER (ORDER BY a.sequence), ''), a.operation_id, a.sequence,
                   to_char(a.recorded_at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US'), a.person_id, a.api_key_id, a.request_id, a.address, a.action,
                   a.subject_kind, a.subject_id, a.before, a.after)::text, 'UTF8')), 'hex') AS should_be
            FROM audit_entry a WHERE a.operation_id = ${params.operationId}::uuid
        )
        SELECT count(*) AS lines, min(place) FILTER (WHERE chain_hash <> should_be OR sequence <> place) AS first_break,
               (SELECT l.chain_hash FROM links l ORDER BY l.sequence DESC LIMIT 1) AS last_hash
          FROM links`.execute(db);
      const [found] = rows;
      const firstBreak = typeof found?.first_break === 'string' ? Number(found.first_break) : null;
      return { holds: firstBreak === null, lines: Number(found?.lines ?? 0), firstBreak, lastHash: found?.last_hash ?? null };
    });
  }

  async denied({ asker, params, query }: CallOf<typeof listDeniedAttempts>): Promise<AnswerOf<typeof listDeniedAttempts>> {
    return this.database.readIn(asker, params.operationId, async ({ db }) => {
      let rows = db.selectFrom('denied_attempt').selectAll().where('operation_id', '=', params.operationId).orderBy('id', 'desc').limit(query.limit + 1);
      if (query.cursor !== undefined) rows = rows.where('id', '<', readCursor(query.cursor, z.tuple([z.uuid()]))[0]);
      return pageOf(await rows.execute(), query.limit, (row) => ({
        id: row.id, endpoint: row.endpoint, code: row.code, personId: row.person_id, apiKeyId: row.api_key_id, address: row.address, requestId: row.request_id, firstAt: row.first_at, lastAt: row.last_at, attempts: row.attempts,
      }), (row) => [row.id]);
    });
  }
}

function entries({ db, operationId }: OperationTenant, filters: Filters) {
  let rows = db.selectFrom('audit_entry').leftJoin('person', 'person.id', 'audit_entry.person_id').selectAll('audit_entry').select('person.name as person_name')
    .select(sql<string>`to_char(audit_entry.recorded_at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US"Z"')`.as('recorded')).where('audit_entry.operation_id', '=', operationId);
  if (filters.from !== undefined) rows = rows.where('audit_entry.recorded_at', '>=', new Date(filters.from).toISOString());
  if (filters.until !== undefined) rows = rows.where('audit_entry.recorded_at', '<', new Date(filters.until).toISOString());
  if (filters.personId !== undefined) rows = rows.where('audit_entry.person_id', '=', filters.personId);
  if (filters.apiKeyId !== undefined) rows = rows.where('audit_entry.api_key_id', '=', filters.apiKeyId);
  if (filters.subjectId !== undefined) rows = rows.where('audit_entry.subject_id', '=', filters.subjectId);
  if (filters.action !== undefined) rows = filters.action.includes('.') ? rows.where('audit_entry.action', '=', filters.action) : rows.where('audit_entry.action', 'like', `${filters.action}.%`);
  return rows;
}

type Row = Awaited<ReturnType<ReturnType<typeof entries>['execute']>>[number];

function written(row: Row): AnswerOf<typeof listAudit>['items'][number] {
  return {
    sequence: Number(row.sequence), recordedAt: row.recorded, personId: row.person_id, person: row.person_name, apiKeyId: row.api_key_id, requestId: row.request_id, address: row.address, action: row.action,
    subjectKind: row.subject_kind, subjectId: row.subject_id, before: row.before ?? null, after: row.after ?? null, chainHash: row.chain_hash,
  };
}
