import { Injectable } from '@nestjs/common';
import { showProof } from '../../platform/database/proof.js';
import { type NewRow, thingStamp } from '../../platform/database/rows.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { ruleBroken } from '../../platform/http/problem.js';
import type { InvitationRow } from './invitation.read.js';

/** Invitations that wait at a time: in one operation, and sent by one person wherever they are an owner. */
export const WAITING_MOST = 30;
export const WAITING_OF_PERSON_MOST = 60;

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

  /**
   * Once the invitation is written and its line stands in the audit, which lets one writer of an operation go on at a
   * time: those who come at once see each other's. @throws Problem rule-broken
   */
  async refuseTooMany({ db, operationId, personId, moment }: OperationTenant): Promise<void> {
    await showProof(db, { counting_invitations: 'yes' });
    const { here, own } = await db
      .selectFrom('invitation')
      .select((e) => [
        e.fn.countAll<string>().filterWhere('operation_id', '=', operationId).as('here'),
        e.fn.countAll<string>().filterWhere('invited_by', '=', personId).as('own'),
      ])
      .where('accepted_at', 'is', null)
      .where('withdrawn_at', 'is', null)
      .where('expires_at', '>', moment.toISOString())
      .executeTakeFirstOrThrow();
    await showProof(db, { counting_invitations: '' });
    refuseAbove(Number(here), WAITING_MOST, 'in one operation');
    refuseAbove(Number(own), WAITING_OF_PERSON_MOST, 'sent by one person');
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

function refuseAbove(waiting: number, most: number, where: string): void {
  if (waiting > most)
    throw ruleBroken(
      '#',
      'too-many-invitations',
      waiting,
      `at most ${most} invitations that wait, ${where}`,
      `At most ${most} invitations wait at a time ${where}; withdraw one that is no longer needed.`,
    );
}
