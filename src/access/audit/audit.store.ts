import { Injectable } from '@nestjs/common';
import type { Transaction } from 'kysely';
import type { AuditEntry, DB } from '../../platform/database/types.js';

/**
 * A line for what happens without anybody having entered the operation: by a token, by a date that passed, or a refused
 * attempt.
 */
export interface OutsideEntry extends AuditEntry {
  operationId: string;
  personId: string | null;
  apiKeyId?: string | undefined;
  requestId: string;
  address: string;
}

@Injectable()
export class AuditStore {
  /**
   * In a transaction that may write to this operation's audit; inside an operation it is `tenant.audit`. The database
   * makes the chain.
   */
  async append(
    db: Transaction<DB>,
    {
      operationId,
      personId,
      apiKeyId,
      requestId,
      address,
      action,
      subjectKind,
      subjectId,
      before,
      after,
    }: OutsideEntry,
  ): Promise<void> {
    await db
      .insertInto('audit_entry')
      .values({
        operation_id: operationId,
        sequence: '0',
        person_id: personId,
        api_key_id: apiKeyId ?? null,
        request_id: requestId,
        address,
        action,
        subject_kind: subjectKind,
        subject_id: subjectId,
        before: before === undefined ? null : JSON.stringify(before),
        after: after === undefined ? null : JSON.stringify(after),
        chain_hash: '',
      })
      .execute();
  }
}
