import { Injectable } from '@nestjs/common';
import { Database } from '../../platform/database/database.js';
import type { OperationTenant, Tenant } from '../../platform/database/types.js';
import type { Asker } from '../../platform/http/asker.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../platform/http/problem.js';
import { SecretBox } from '../../platform/secrets/secret-box.js';
import { LineSigner } from '../audit/line-signer.js';
import { closedArchive } from './archive-format.js';
import { sealOf } from './archive-seal.js';
import {
  type cancelDeletion,
  type confirmDeletion,
  CONFIRM_WITHIN_DAYS,
  type exportOperation,
  type getDeletion,
  type listErasedOperations,
  type requestDeletion,
  WAIT_DAYS,
} from './data-rights.schema.js';
import { DeletionRead, type DeletionRow, type ErasedOperationRow } from './deletion.read.js';
import { DeletionStore } from './deletion.store.js';
import { OwnersArchive } from './owners-archive.js';

const DAY_MS = 86_400_000;
/** Every operation's audit begins with its opening; a hash of none is written as zeros. */
const NO_LINE = '0'.repeat(64);

/** What an owner may do with the books as a whole: export them, or delete them. */
@Injectable()
export class DataRightsService {
  readonly #signer: LineSigner;

  constructor(
    private readonly database: Database,
    private readonly archives: OwnersArchive,
    private readonly deletions: DeletionRead,
    private readonly store: DeletionStore,
    secrets: SecretBox,
  ) {
    this.#signer = new LineSigner(secrets);
  }

  async archive(asker: Asker, { params }: InputOf<typeof exportOperation>): Promise<AnswerOf<typeof exportOperation>> {
    const { operationId } = params;
    const { content, audit, ...made } = await this.archives.made(asker, operationId);
    const seal = sealOf(this.#signer, {
      operationId,
      sha256: made.sha256,
      records: made.records,
      auditLines: audit.lines,
      auditHash: audit.lastHash ?? NO_LINE,
      sealedAt: asker.moment.toISOString(),
    });
    // Handed over once it stands in the audit; that line is not in the copy.
    await this.database.writeIn(asker, operationId, async (tenant) => {
      if (!tenant.may('own')) throw new Problem('not-permitted');
      await tenant.audit({
        action: 'operation.export',
        subjectKind: 'operation',
        subjectId: operationId,
        after: { records: made.records, sha256: made.sha256 },
      });
      return {};
    });
    const closed = closedArchive({ ...made, content: Buffer.from(content, 'base64') }, seal);
    return { operationId, exportedAt: asker.moment.toISOString(), ...made, seal, content: closed.toString('base64') };
  }

  async requestDeletion(
    tenant: OperationTenant,
    { params, body }: InputOf<typeof requestDeletion>,
  ): Promise<AnswerOf<typeof getDeletion>> {
    refuseOtherName(tenant, body.name);
    const { moment } = tenant;
    const open = await this.deletions.open(tenant, true);
    if (open !== undefined && open.expires_at > moment.toISOString())
      throw new Problem('conflict', 'The deletion was already requested.');
    if (open !== undefined) await this.store.lapse(tenant, open);
    const notBefore = new Date(moment.getTime() + WAIT_DAYS * DAY_MS);
    const row = await this.store.insert(tenant, {
      reason: body.reason,
      not_before: notBefore.toISOString(),
      expires_at: new Date(notBefore.getTime() + CONFIRM_WITHIN_DAYS * DAY_MS).toISOString(),
    });
    await tenant.audit({
      action: 'operation-deletion.request',
      subjectKind: 'operation',
      subjectId: params.operationId,
      after: row,
    });
    return answerFrom(row);
  }

  async getDeletion(tenant: OperationTenant): Promise<AnswerOf<typeof getDeletion>> {
    return answerFrom(await this.deletions.asked(tenant, false));
  }

  async cancelDeletion(tenant: OperationTenant, { params }: InputOf<typeof cancelDeletion>): Promise<void> {
    const row = await this.deletions.asked(tenant, true);
    await this.store.cancel(tenant, row.id);
    await tenant.audit({
      action: 'operation-deletion.cancel',
      subjectKind: 'operation',
      subjectId: params.operationId,
      before: row,
    });
  }

  async confirmDeletion(
    tenant: OperationTenant,
    { params, body }: InputOf<typeof confirmDeletion>,
  ): Promise<AnswerOf<typeof confirmDeletion>> {
    refuseOtherName(tenant, body.name);
    await this.store.erase(tenant, tenant.asker);
    return erasedAnswer(await this.deletions.erased(tenant, params.operationId));
  }

  async listErased(
    tenant: Tenant,
    { query }: InputOf<typeof listErasedOperations>,
  ): Promise<AnswerOf<typeof listErasedOperations>> {
    return pageOf(await this.deletions.erasedPage(tenant, query), query.limit, erasedAnswer, (row) => [row.id]);
  }
}

function refuseOtherName({ operation }: OperationTenant, name: string): void {
  if (name !== operation.name)
    throw ruleBroken(
      '#/name',
      'another-name',
      name.slice(0, 200),
      'the exact name of the operation',
      'This is not the name of the operation.',
    );
}

function answerFrom(row: DeletionRow): AnswerOf<typeof getDeletion> {
  return {
    id: row.id,
    operationId: row.operation_id,
    reason: row.reason,
    requestedBy: row.requested_by,
    requestedAt: row.requested_at,
    confirmableFrom: row.not_before,
    confirmableUntil: row.expires_at,
  };
}

function erasedAnswer(row: ErasedOperationRow): AnswerOf<typeof confirmDeletion> {
  return {
    operationId: row.id,
    name: row.name,
    requestedAt: row.requested_at,
    requestedBy: row.requested_by,
    confirmedAt: row.confirmed_at,
    confirmedBy: row.confirmed_by,
    records: Object.values(row.row_counts as Record<string, number>).reduce((sum, count) => sum + count, 0),
    auditLines: Number(row.last_sequence),
    lastAuditHash: row.last_chain_hash,
  };
}
