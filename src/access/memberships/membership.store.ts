import { Injectable } from '@nestjs/common';
import type { Role } from '../../platform/roles/roles.data.js';
import { type ChangedRow, type NewRow, thingStamp } from '../../platform/database/rows.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { Problem } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import type { MembershipRow } from './membership.read.js';

/**
 * Who belongs to an operation, as what, from when. The database lets only an owner write here, or a person who was
 * offered a membership.
 */
@Injectable()
export class MembershipStore {
  async grant(
    tenant: OperationTenant,
    { personId, role, seesPrices }: { personId: string; role: Role; seesPrices: boolean },
  ): Promise<string> {
    const { db, operationId, moment } = tenant;
    const row = await db
      .insertInto('membership')
      .values({
        operation_id: operationId,
        id: newId(),
        person_id: personId,
        role,
        sees_prices: seesPrices,
        from_at: moment.toISOString(),
        confirmed_at: moment.toISOString(),
        confirmed_by: tenant.personId,
      })
      .returningAll()
      .executeTakeFirstOrThrow();
    await tenant.audit({ action: 'membership.grant', subjectKind: 'membership', subjectId: row.id, after: row });
    return row.id;
  }

  /**
   * A membership that was offered and taken, and waits for an owner's confirmation. Answers the row, since the one who
   * takes it need not see it yet.
   */
  async insert<NewMembership extends NewRow<'membership'>>(
    where: Pick<OperationTenant, 'db' | 'operationId' | 'moment'>,
    membership: NewMembership,
  ): Promise<NewMembership & ReturnType<typeof thingStamp>> {
    const row = { ...membership, ...thingStamp(where) };
    await where.db.insertInto('membership').values(row).execute();
    return row;
  }

  /**
   * Changes a membership, including its end. @throws Problem changed-meanwhile where somebody else changed it first.
   */
  async change(
    { db, operationId }: OperationTenant,
    { id, version }: { id: string; version: number },
    changes: ChangedRow<'membership'>,
  ): Promise<MembershipRow> {
    const after = await db
      .updateTable('membership')
      .set((e) => ({ ...changes, version: e('version', '+', 1) }))
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .where('version', '=', version)
      .returningAll()
      .executeTakeFirst();
    if (after === undefined) throw new Problem('changed-meanwhile');
    return after;
  }

  /** Ends one of the asker's own that no owner has confirmed. */
  async leave({ db, operationId }: Pick<OperationTenant, 'db' | 'operationId'>, id: string, at: string): Promise<void> {
    await db
      .updateTable('membership')
      .set((e) => ({ until_at: at, version: e('version', '+', 1) }))
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .execute();
  }

  /** The terms of the engagement that a membership rests on, which has been locked. */
  async follow(
    { db, operationId }: OperationTenant,
    id: string,
    terms: Pick<MembershipRow, 'sees_prices' | 'until_at'>,
  ): Promise<void> {
    await db
      .updateTable('membership')
      .set((e) => ({ ...terms, version: e('version', '+', 1) }))
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .execute();
  }
}
