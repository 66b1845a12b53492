import { Injectable } from '@nestjs/common';
import type { Selectable, Transaction } from 'kysely';
import { inIdOrder } from '../../platform/database/id-order.js';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import type { PageAsked } from '../../platform/http/cursor.js';
import { notFound, Problem } from '../../platform/http/problem.js';

export type InvitationRow = Selectable<DB['invitation']>;

@Injectable()
export class InvitationRead {
  /** With an expected version the row is locked. @throws Problem not-found, changed-meanwhile */
  async one({ db, operationId }: OperationTenant, id: string, expectedVersion?: number): Promise<InvitationRow> {
    const select = db.selectFrom('invitation').selectAll().where('operation_id', '=', operationId).where('id', '=', id);
    const row = await (expectedVersion === undefined ? select : select.forUpdate()).executeTakeFirst();
    if (row === undefined) throw notFound('invitation');
    if (expectedVersion !== undefined && row.version !== expectedVersion) throw new Problem('changed-meanwhile');
    return row;
  }

  async page({ db, operationId }: OperationTenant, query: PageAsked): Promise<InvitationRow[]> {
    return inIdOrder(
      db.selectFrom('invitation').selectAll().where('operation_id', '=', operationId),
      query,
      'desc',
    ).execute();
  }

  /** Which of these were accepted by somebody who has proven the address that was invited? */
  async proven({ db, operationId }: OperationTenant, rows: readonly InvitationRow[]): Promise<ReadonlySet<string>> {
    const accepted = rows.filter((row) => row.membership_id !== null);
    if (accepted.length === 0) return new Set();
    const found = await db
      .selectFrom('invitation')
      .innerJoin('membership', (on) =>
        on
          .onRef('membership.operation_id', '=', 'invitation.operation_id')
          .onRef('membership.id', '=', 'invitation.membership_id'),
      )
      .innerJoin('person', 'person.id', 'membership.person_id')
      .select('invitation.id')
      .where('invitation.operation_id', '=', operationId)
      .where(
        'invitation.id',
        'in',
        accepted.map((row) => row.id),
      )
      .whereRef('person.email', '=', 'invitation.email')
      .where('person.email_proven_at', 'is not', null)
      .execute();
    return new Set(found.map((row) => row.id));
  }

  /** The invitation that a proof opens, locked. One that can no longer be accepted is not found. */
  async open(db: Transaction<DB>, proof: string, moment: Date): Promise<InvitationRow> {
    const row = await this.found(db, proof, moment);
    if (row === undefined) throw notFound('invitation');
    return row;
  }

  async found(db: Transaction<DB>, proof: string, moment: Date): Promise<InvitationRow | undefined> {
    const row = await db
      .selectFrom('invitation')
      .selectAll()
      .where('token_hash', '=', proof)
      .forUpdate()
      .executeTakeFirst();
    const at = moment.toISOString();
    const good =
      row !== undefined &&
      row.accepted_at === null &&
      row.withdrawn_at === null &&
      row.expires_at > at &&
      (row.until_at === null || row.until_at > at);
    return good ? row : undefined;
  }
}
