import { Injectable } from '@nestjs/common';
import { type NewRow, thingStamp } from '../../platform/database/rows.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { InvitationRow } from './invitation.read.js';

type Where = Pick<OperationTenant, 'db' | 'operationId' | 'moment'>;

@Injectable()
export class InvitationStore {
  async insert(
    tenant: OperationTenant,
    id: string,
    invitation: Omit<NewRow<'invitation'>, 'invited_by'>,
  ): Promise<InvitationRow> {
    return tenant.db
      .insertInto('invitation')
      .values({ ...invitation, ...thingStamp(tenant, id), invited_by: tenant.personId })
      .returningAll()
      .executeTakeFirstOrThrow();
  }

  /** Withdraws a locked invitation. */
  async withdraw({ db, operationId, moment }: Where, id: string): Promise<void> {
    await db
      .updateTable('invitation')
      .set((e) => ({ withdrawn_at: moment.toISOString(), version: e('version', '+', 1) }))
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .execute();
  }

  /** Marks a locked invitation as accepted, with the membership that it became. */
  async accept({ db, operationId, moment }: Where, id: string, membershipId: string): Promise<void> {
    await db
      .updateTable('invitation')
      .set((e) => ({ accepted_at: moment.toISOString(), membership_id: membershipId, version: e('version', '+', 1) }))
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .execute();
  }
}
