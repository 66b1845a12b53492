import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { inIdOrder } from '../../platform/database/id-order.js';
import type { DB, OperationTenant, Tenant } from '../../platform/database/types.js';
import type { PageAsked } from '../../platform/http/cursor.js';
import { notFound } from '../../platform/http/problem.js';

export type DeletionRow = Selectable<DB['operation_deletion']>;
export type ErasedOperationRow = Selectable<DB['erased_operation']>;

/** Deletions that were requested, and what is left of operations that were deleted. */
@Injectable()
export class DeletionRead {
  /** The request that was not canceled, locked for a write; includes one that was not confirmed in time. */
  async open({ db, operationId }: OperationTenant, lock: boolean): Promise<DeletionRow | undefined> {
    const select = db
      .selectFrom('operation_deletion')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('cancelled_at', 'is', null);
    return (lock ? select.forUpdate() : select).executeTakeFirst();
  }

  /** @throws Problem not-found */
  async asked(tenant: OperationTenant, lock: boolean): Promise<DeletionRow> {
    const row = await this.open(tenant, lock);
    if (row === undefined) throw notFound('deletion');
    return row;
  }

  async erased({ db }: Tenant, operationId: string): Promise<ErasedOperationRow> {
    return db.selectFrom('erased_operation').selectAll().where('id', '=', operationId).executeTakeFirstOrThrow();
  }

  async erasedPage({ db }: Tenant, query: PageAsked): Promise<ErasedOperationRow[]> {
    return inIdOrder(db.selectFrom('erased_operation').selectAll(), query, 'desc').execute();
  }
}
