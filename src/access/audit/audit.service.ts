import { Injectable } from '@nestjs/common';
import type { OperationTenant } from '../../platform/database/types.js';
import { emailNote } from '../../platform/wire/unproven-address.schema.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { SecretBox } from '../../platform/secrets/secret-box.js';
import { type AuditLine, AuditRead } from './audit.read.js';
import {
  type listAudit,
  type listDeniedAttempts,
  type verifyAudit,
  EXPORT_MOST,
  type exportAudit,
} from './audit.schema.js';
import { HeadSigner } from './signed-head.js';

/** The owner's look at who did what, and at who was turned away. */
@Injectable()
export class AuditService {
  readonly #signer: HeadSigner;

  constructor(
    private readonly audit: AuditRead,
    secrets: SecretBox,
  ) {
    this.#signer = new HeadSigner(secrets);
  }

  async list(tenant: OperationTenant, { query }: InputOf<typeof listAudit>): Promise<AnswerOf<typeof listAudit>> {
    return pageOf(await this.audit.page(tenant, query), query.limit, answerFrom, (row) => [row.sequence]);
  }

  async export(tenant: OperationTenant, { query }: InputOf<typeof exportAudit>): Promise<AnswerOf<typeof exportAudit>> {
    const rows = await this.audit.following(tenant, query, EXPORT_MOST + 1);
    const items = rows.slice(0, EXPORT_MOST).map(answerFrom);
    return { items, moreAfter: rows.length > EXPORT_MOST ? (items.at(-1)?.sequence ?? null) : null };
  }

  async verify(tenant: OperationTenant, { query }: InputOf<typeof verifyAudit>): Promise<AnswerOf<typeof verifyAudit>> {
    const { operationId, moment } = tenant;
    const found = await this.audit.chain(tenant);
    const { lines: sequence, lastHash: chainHash } = found;
    return {
      holds: found.firstBreak === null,
      ...found,
      signedHead:
        chainHash === null || found.firstBreak !== null
          ? null
          : this.#signer.signed({ operationId, sequence, chainHash, signedAt: moment.toISOString() }),
      restored: (await this.audit.restores(tenant)).map(({ sequence: line, recorded, told }) => ({
        sequence: line,
        recordedAt: recorded,
        seal: told.seal,
        publicKey: told.publicKey,
        sha256: told.sha256,
        exportedAt: told.exportedAt,
        by: told.by,
        auditLines: told.auditLines,
        gaveUp: told.givenUp !== null,
      })),
      keptHead: query.keptHead === undefined ? null : await this.#kept(tenant, query.keptHead),
    };
  }

  async #kept({ db, operationId }: OperationTenant, line: string): Promise<AnswerOf<typeof verifyAudit>['keptHead']> {
    const head = this.#signer.opened(line);
    if (head?.operationId !== operationId) return 'not-ours';
    const { chainHash } = await this.audit.place(db, head);
    return chainHash === head.chainHash ? 'holds' : chainHash === null ? 'cut-off' : 'rewritten';
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
    personNote: emailNote(row.person_name === null || row.person_email_proven_at !== null, 'acted'),
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
