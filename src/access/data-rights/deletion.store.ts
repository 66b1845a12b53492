import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import type { NewRow } from '../../platform/database/rows.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { newId } from '../../platform/identifiers.js';
import type { DeletionRow } from './deletion.read.js';

@Injectable()
export class DeletionStore {
  async insert(
    { db, operationId, personId, moment }: OperationTenant,
    deletion: Pick<NewRow<'operation_deletion'>, 'reason' | 'not_before' | 'expires_at'>,
  ): Promise<DeletionRow> {
    return db
      .insertInto('operation_deletion')
      .values({
        ...deletion,
        operation_id: operationId,
        id: newId(),
        requested_by: personId,
        requested_at: moment.toISOString(),
      })
      .returningAll()
      .executeTakeFirstOrThrow();
  }

  /** Canceled by the person asking. */
  async cancel({ db, operationId, personId, moment }: OperationTenant, id: string): Promise<void> {
    await db
      .updateTable('operation_deletion')
      .set({ cancelled_at: moment.toISOString(), cancelled_by: personId })
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .execute();
  }

  /** Nobody confirmed it in time, so it ended at its deadline. */
  async lapse({ db, operationId }: OperationTenant, { id, expires_at: at }: DeletionRow): Promise<void> {
    await db
      .updateTable('operation_deletion')
      .set({ cancelled_at: at })
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .execute();
  }

  /**
   * Deletes the operation and everything in it. The database checks the request and the waiting time again and does the
   * deletion under the one role that may delete.
   */
  async erase(
    { db, operationId }: OperationTenant,
    { requestId, address }: { requestId: string; address: string },
  ): Promise<void> {
    await sql`SELECT rickyard_erasure.erase_operation(${operationId}::uuid, ${requestId}, ${address})`.execute(db);
  }
}
