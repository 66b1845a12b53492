import { Injectable } from '@nestjs/common';
import { sql } from 'kysely';
import type { ChangedRow, NewRow } from '../../../platform/database/rows.js';
import type { OperationTenant, Tenant } from '../../../platform/database/types.js';
import { Problem, ruleBroken } from '../../../platform/http/problem.js';
import { newId } from '../../../platform/identifiers.js';
import type { OperationRow } from './operation.read.js';

/** How many operations one person may ever open. */
export const OPENED_MOST = 20;

@Injectable()
export class OperationStore {
  /**
   * Opens the books and makes the person asking their owner: neither is there without the other. @throws Problem
   * rule-broken where they opened as many as one person may.
   */
  async found({ db, moment, personId }: Tenant, operation: NewRow<'operation'>): Promise<OperationRow> {
    const id = newId();
    // The row is locked until the end: two requests at once are counted one after the other.
    const { operations_opened: opened } = await db
      .updateTable('person')
      .set((e) => ({ operations_opened: e('operations_opened', '+', 1) }))
      .where('id', '=', personId)
      .returning('operations_opened')
      .executeTakeFirstOrThrow();
    if (opened > OPENED_MOST)
      throw ruleBroken(
        '#',
        'too-many-operations',
        opened,
        `at most ${OPENED_MOST} operations opened by one person`,
        `One person opens at most ${OPENED_MOST} operations; a ranch of the same business belongs in one of them.`,
      );
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
        confirmed_at: moment.toISOString(),
        confirmed_by: personId,
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
