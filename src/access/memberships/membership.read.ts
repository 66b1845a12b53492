import { Injectable } from '@nestjs/common';
import { type Selectable, sql, type Transaction } from 'kysely';
import { inIdOrder } from '../../platform/database/id-order.js';
import type { DB, OperationTenant, Tenant } from '../../platform/database/types.js';
import type { PageAsked } from '../../platform/http/cursor.js';
import { notFound } from '../../platform/http/problem.js';

export type MembershipRow = Selectable<DB['membership']>;
/** With what is known of the account: who made it, when, and whether anybody has shown that the mail arrives. */
export type NamedMembershipRow = MembershipRow & {
  name: string;
  email: string;
  enrolled_at: string;
  email_proven_at: string | null;
  vouched_by_operation: string | null;
  vouched_by_name: string | null;
  vouched_at: string | null;
};
export type MembershipChangeRow = Selectable<DB['membership_change']>;

/** Who belongs where. */
@Injectable()
export class MembershipRead {
  async one(tenant: OperationTenant, id: string): Promise<NamedMembershipRow> {
    const row = await named(tenant).where('membership.id', '=', id).executeTakeFirst();
    if (row === undefined) throw notFound('membership');
    return row;
  }

  async page(tenant: OperationTenant, query: PageAsked & { ended: 'hide' | 'show' }): Promise<NamedMembershipRow[]> {
    let select = named(tenant);
    if (query.ended === 'hide')
      select = select.where((e) =>
        e.or([e('membership.until_at', 'is', null), e('membership.until_at', '>', tenant.moment.toISOString())]),
      );
    return inIdOrder(select, query, 'asc', 'membership.id').execute();
  }

  /** The history of one membership, oldest first. */
  async changes({ db, operationId }: OperationTenant, membershipId: string): Promise<MembershipChangeRow[]> {
    return db
      .selectFrom('membership_change')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('membership_id', '=', membershipId)
      .orderBy('version')
      .orderBy('changed_at')
      .execute();
  }

  /** Does this person have a membership in the operation that has not ended? */
  async belongs(
    { db, operationId, moment }: Pick<OperationTenant, 'db' | 'operationId' | 'moment'>,
    personId: string,
  ): Promise<boolean> {
    const membership = await db
      .selectFrom('membership')
      .select('id')
      .where('operation_id', '=', operationId)
      .where('person_id', '=', personId)
      .where((e) => e.or([e('until_at', 'is', null), e('until_at', '>', moment.toISOString())]))
      .executeTakeFirst();
    return membership !== undefined;
  }

  /** Every membership of a person in any operation, including those that have ended. */
  async membershipsOf(
    db: Transaction<DB>,
    personId: string,
  ): Promise<Pick<MembershipRow, 'operation_id' | 'id' | 'role' | 'until_at' | 'confirmed_at'>[]> {
    return db
      .selectFrom('membership')
      .select(['operation_id', 'id', 'role', 'until_at', 'confirmed_at'])
      .where('person_id', '=', personId)
      .execute();
  }

  /**
   * Is this person a member, a consultant, invited or engaged, or offering themselves, in any other operation? In a
   * transaction that is theirs.
   */
  async standsElsewhere(db: Transaction<DB>, personId: string, operationId: string): Promise<boolean> {
    const { rows } = await sql<{ elsewhere: boolean }>`SELECT rickyard.stands_elsewhere(
      ${personId}::uuid, ${operationId}::uuid) AS elsewhere`.execute(db);
    return rows[0]?.elsewhere !== false;
  }

  /** Names of operations that ask everybody for a second factor and whose only owner is the person asking. */
  async ownedAloneBehindSecondFactor({ db, personId, moment }: Tenant): Promise<string[]> {
    const now = moment.toISOString();
    const owners = db
      .selectFrom('membership')
      .where('membership.role', '=', 'owner')
      .where('membership.confirmed_at', 'is not', null)
      .where('membership.from_at', '<=', now)
      .where((e) => e.or([e('membership.until_at', 'is', null), e('membership.until_at', '>', now)]))
      .innerJoin('operation', 'operation.id', 'membership.operation_id')
      .where('operation.second_factor_required', '=', true);
    const rows = await owners.select(['operation.id', 'operation.name', 'membership.person_id']).execute();
    const shared = new Set(rows.filter((row) => row.person_id !== personId).map(({ id }) => id));
    return rows.filter((row) => row.person_id === personId && !shared.has(row.id)).map(({ name }) => name);
  }

  /** Names of the operations that the person asking belongs to. */
  async operationNames({ db }: Tenant): Promise<ReadonlyMap<string, string>> {
    const rows = await db.selectFrom('operation').select(['id', 'name']).execute();
    return new Map(rows.map((row) => [row.id, row.name]));
  }
}

function named({ db, operationId }: OperationTenant) {
  return db
    .selectFrom('membership')
    .innerJoin('person', 'person.id', 'membership.person_id')
    .selectAll('membership')
    .select([
      'person.name',
      'person.email',
      'person.created_at as enrolled_at',
      'person.email_proven_at',
      'person.vouched_by_operation',
      'person.vouched_by_name',
      'person.vouched_at',
    ])
    .where('membership.operation_id', '=', operationId);
}
