import { Injectable } from '@nestjs/common';
import type { OperationTenant } from '../../platform/database/types.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { type AuditLine, AuditRead } from './audit.read.js';
import {
  type listAudit,
  type listDeniedAttempts,
  type verifyAudit,
  EXPORT_MOST,
  type exportAudit,
} from './audit.schema.js';

/** The owner's look at who did what, and at who was turned away. */
@Injectable()
export class AuditService {
  constructor(private readonly audit: AuditRead) {}

  async list(tenant: OperationTenant, { query }: InputOf<typeof listAudit>): Promise<AnswerOf<typeof listAudit>> {
    return pageOf(await this.audit.page(tenant, query), query.limit, answerFrom, (row) => [row.sequence]);
  }

  async export(tenant: OperationTenant, { query }: InputOf<typeof exportAudit>): Promise<AnswerOf<typeof exportAudit>> {
    const rows = await this.audit.following(tenant, query, EXPORT_MOST + 1);
    const items = rows.slice(0, EXPORT_MOST).map(answerFrom);
    return { items, moreAfter: rows.length > EXPORT_MOST ? (items.at(-1)?.sequence ?? null) : null };
  }

  async verify(tenant: OperationTenant): Promise<AnswerOf<typeof verifyAudit>> {
    const found = await this.audit.chain(tenant);
    return { holds: found.firstBreak === null, ...found };
  }

  async denied(
    tenant: OperationTenant,
    { query }: InputOf<typeof listDeniedAttempts>,
  ): Promise<AnswerOf<typeof listDeniedAttempts>> {
    return pageOf(
      await this.audit.denied(tenant, query),
      query.limit,
      (row) => ({
        id: row.id,
        endpoint: row.endpoint,
        code: row.code,
        personId: row.person_id,
        apiKeyId: row.api_key_id,
        address: row.address,
        requestId: row.request_id,
        firstAt: row.first_at,
        lastAt: row.last_at,
        attempts: row.attempts,
      }),
      (row) => [row.id],
    );
  }
}

function answerFrom(row: AuditLine): AnswerOf<typeof listAudit>['items'][number] {
  return {
    sequence: Number(row.sequence),
    recordedAt: row.recorded,
    personId: row.person_id,
    person: row.person_name,
    apiKeyId: row.api_key_id,
    requestId: row.request_id,
    address: row.address,
    action: row.action,
    subjectKind: row.subject_kind,
    subjectId: row.subject_id,
    before: row.before ?? null,
    after: row.after ?? null,
    chainHash: row.chain_hash,
  };
}
