import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import type { ChangedRow, NewRow } from '../../../platform/database/rows.js';
import type { OperationTenant, Tenant } from '../../../platform/database/types.js';
import { Problem } from '../../../platform/http/problem.js';
import { newId } from '../../../platform/identifiers.js';
import type { OperationRow } from './operation.read.js';

@Injectable()
export class OperationStore {
  /** Opens the books and makes the person asking their owner: neither exists without the other. */
  async found({ db, moment, personId }: Tenant, operation: NewRow<'operation'>): Promise<OperationRow> {
    const id = newId();
    await sql`SELECT rickyard.found(${id}::uuid)`.execute(db);
    const row = await db
      .insertInto('operation')
      .values({ ...operation, id, created_at: moment.toISOString() })
      .returningAll()
      .executeTakeFirstOrThrow();
    await db
      .insertInto('membership')
      .values({
        operation_id: id,
        id: newId(),
        person_id: personId,
        role: 'owner',
        sees_prices: true,
        from_at: moment.toISOString(),
      })
      .execute();
    return row;
  }

  /** @throws Problem changed-meanwhile where somebody else changed it first. */
  async change(
    { db, operationId }: OperationTenant,
    version: number,
    changes: ChangedRow<'operation'>,
  ): Promise<OperationRow> {
    const after = await db
      .updateTable('operation')
      .set((e) => ({ ...changes, version: e('version', '+', 1) }))
      .where('id', '=', operationId)
      .where('version', '=', version)
      .returningAll()
      .executeTakeFirst();
    if (after === undefined) throw new Problem('changed-meanwhile');
    return after;
  }
}
