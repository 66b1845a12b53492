import { Injectable } from '@nestjs/common';
import { maySeePrices, RECOVERED_BY_OWNER } from '../../platform/roles/roles.data.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../platform/http/problem.js';
import { emailNote } from '../../platform/wire/unproven-address.schema.js';
import { newId } from '../../platform/identifiers.js';
import { EngagementArchive } from '../engagements/engagement-archive.store.js';
import { EngagementRead, type EngagementRow } from '../engagements/engagement.read.js';
import { EngagementStore } from '../engagements/engagement.store.js';
import { RecoveryTokenStore } from '../recovery/recovery-token.store.js';
import { hashToken, newToken, RECOVERY_PREFIX } from '../sign-in/tokens.js';
import { MembershipRead, type MembershipRow, type NamedMembershipRow } from './membership.read.js';
import type * as api from './membership.schema.js';
import { MembershipStore } from './membership.store.js';

type Answer = AnswerOf<typeof api.getMembership>;

const RECOVERY_HOURS = 24;

/** Who belongs to an operation. The database writes its history and refuses to let the last owner go. */
@Injectable()
export class MembershipService {
  constructor(
    private readonly membershipRead: MembershipRead,
    private readonly store: MembershipStore,
    private readonly engagements: EngagementRead,
    private readonly engagementStore: EngagementStore,
    private readonly archive: EngagementArchive,
    private readonly recoveryTokens: RecoveryTokenStore,
  ) {}

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listMemberships>,
  ): Promise<AnswerOf<typeof api.listMemberships>> {
    return pageOf(
      await this.membershipRead.page(tenant, query),
      query.limit,
      (row) => answerFrom(row, tenant),
      (row) => [row.id],
    );
  }

  async get(tenant: OperationTenant, { params }: InputOf<typeof api.getMembership>): Promise<Answer> {
    return answerFrom(await this.membershipRead.one(tenant, params.membershipId), tenant);
  }

  async history(
    tenant: OperationTenant,
    { params }: InputOf<typeof api.membershipHistory>,
  ): Promise<AnswerOf<typeof api.membershipHistory>> {
    await this.membershipRead.one(tenant, params.membershipId);
    const rows = await this.membershipRead.changes(tenant, params.membershipId);
    return {
      changes: rows.map((row) => ({
        what: row.what,
        role: row.role,
        seesPrices: row.sees_prices,
        until: row.until_at,
        version: row.version,
        changedAt: row.changed_at,
        changedBy: row.changed_by,
      })),
    };
  }

  async change(
    tenant: OperationTenant,
    { params, body, expectedVersion }: InputOf<typeof api.changeMembership>,
  ): Promise<Answer> {
    const before = await this.membershipRead.one(tenant, params.membershipId);
    if (hasEnded(before, tenant.moment))
      throw new Problem('conflict', 'This membership has ended; invite the person again.');
    if (before.role === 'nutritionist' || body.role === 'nutritionist')
      throw ruleBroken(
        '#/role',
        'by-engagement',
        body.role ?? before.role,
        'a role other than nutritionist',
        "A nutritionist's membership is granted and changed by an engagement.",
      );
    const role = body.role ?? before.role;
    const seesPrices = body.seesPrices ?? (!maySeePrices(role) ? false : role === 'owner' ? true : before.sees_prices);
    refusePrices(role, seesPrices);
    if (typeof body.until === 'string' && new Date(body.until) <= tenant.moment)
      throw ruleBroken(
        '#/until',
        'in-the-past',
        body.until,
        `after ${tenant.moment.toISOString()}`,
        'A membership cannot end in the past; end it now instead.',
      );
    const until =
      body.until === undefined ? before.until_at : body.until === null ? null : new Date(body.until).toISOString();
    const after = await this.store.change(
      tenant,
      { id: before.id, version: expectedVersion },
      { role, sees_prices: seesPrices, until_at: until },
    );
    await tenant.audit({
      action: 'membership.change',
      subjectKind: 'membership',
      subjectId: after.id,
      before: plain(before),
      after,
    });
    return answerFrom({ ...before, ...after }, tenant);
  }

  /** The person who accepted is the one who was meant: from now on the membership opens what it grants. */
  async confirm(
    tenant: OperationTenant,
    { params, expectedVersion }: InputOf<typeof api.confirmMembership>,
  ): Promise<Answer> {
    const before = await this.membershipRead.one(tenant, params.membershipId);
    if (before.confirmed_at !== null) throw new Problem('conflict', 'This membership was confirmed before.');
    if (hasEnded(before, tenant.moment)) throw new Problem('conflict', 'This membership has ended.');
    const confirmedAt = tenant.moment.toISOString();
    const after = await this.store.change(
      tenant,
      { id: before.id, version: expectedVersion },
      { confirmed_at: confirmedAt, confirmed_by: tenant.personId },
    );
    const engagement = await this.#engagementOf(tenant, before);
    if (engagement !== undefined) await this.engagementStore.change(tenant, engagement.id, { state: 'accepted' });
    await tenant.audit({
      action: 'membership.confirm',
      subjectKind: 'membership',
      subjectId: before.id,
      before: plain(before),
      after: { confirmedAt, account: { ...accountOf(before), emailProven: before.email_proven_at !== null } },
    });
    return answerFrom({ ...before, ...after }, tenant);
  }

  async end(
    tenant: OperationTenant,
    { params, body, expectedVersion }: InputOf<typeof api.endMembership>,
  ): Promise<Answer> {
    const before = await this.membershipRead.one(tenant, params.membershipId);
    const byOwner = tenant.may('own');
    if (!byOwner && before.person_id !== tenant.personId)
      throw new Problem('not-permitted', "Only an owner can end somebody else's membership.");
    if (hasEnded(before, tenant.moment)) throw new Problem('conflict', 'This membership has already ended.');
    const after = await this.close(tenant, before, {
      expectedVersion,
      reason: body.reason,
      by: byOwner && before.person_id !== tenant.personId ? 'operation' : 'consultant',
    });
    return answerFrom({ ...before, ...after }, tenant);
  }

  /** Ends a membership now, and with it the engagement that it rests on, if there is one. */
  async close(
    tenant: OperationTenant,
    before: MembershipRow,
    { expectedVersion, reason, by }: { expectedVersion: number; reason: string; by: 'operation' | 'consultant' },
  ): Promise<MembershipRow> {
    const endedAt = tenant.moment.toISOString();
    const engagement = await this.#engagementOf(tenant, before);
    const kept =
      engagement?.state === 'accepted' && engagement.after_end === 'history'
        ? await this.archive.take(tenant, engagement.id, before.person_id)
        : undefined;
    if (engagement !== undefined)
      await this.engagementStore.change(
        tenant,
        engagement.id,
        engagement.state === 'unconfirmed'
          ? { state: 'withdrawn', answered_at: endedAt }
          : { state: 'ended', ended_at: endedAt, ended_by: by },
      );
    // The audit line is written before the end, since a person who leaves may not write here afterward. Both commit
    // together or not at all.
    await tenant.audit({
      action: 'membership.end',
      subjectKind: 'membership',
      subjectId: before.id,
      before: plain(before),
      after: { untilAt: endedAt, reason, ...(kept === undefined ? {} : { recordsKept: kept }) },
    });
    return this.store.change(tenant, { id: before.id, version: expectedVersion }, { until_at: endedAt });
  }

  async #engagementOf(tenant: OperationTenant, { id, role }: MembershipRow): Promise<EngagementRow | undefined> {
    return role === 'nutritionist' ? this.engagements.ofMembership(tenant, id) : undefined;
  }

  async issueRecoveryToken(
    tenant: OperationTenant,
    { params, body }: InputOf<typeof api.issueRecoveryToken>,
  ): Promise<AnswerOf<typeof api.issueRecoveryToken>> {
    const token = newToken(RECOVERY_PREFIX);
    const membership = await this.membershipRead.one(tenant, params.membershipId);
    if (hasEnded(membership, tenant.moment)) throw new Problem('conflict', 'This membership has ended.');
    if (membership.confirmed_at === null) throw new Problem('conflict', 'This membership was never confirmed.');
    if (!RECOVERED_BY_OWNER.includes(membership.role))
      throw ruleBroken(
        '#',
        'not-recoverable-by-owner',
        membership.role,
        `a ${RECOVERED_BY_OWNER.join(', ')}`,
        'Owners and consultants recover by their own codes.',
      );
    const expiresAt = new Date(tenant.moment.getTime() + RECOVERY_HOURS * 3_600_000).toISOString();
    await this.recoveryTokens.insert(tenant, newId(), {
      membership_id: membership.id,
      operation_name: tenant.operation.name,
      person_id: membership.person_id,
      token_hash: hashToken(token),
      expires_at: expiresAt,
    });
    await tenant.audit({
      action: 'recovery-token.issue',
      subjectKind: 'membership',
      subjectId: membership.id,
      after: { reason: body.reason, expiresAt },
    });
    return { membershipId: membership.id, token, expiresAt };
  }
}

export function refusePrices(role: string, seesPrices: boolean, pointer = '#/seesPrices'): void {
  if (!maySeePrices(role) && seesPrices)
    throw ruleBroken(pointer, 'hand-sees-no-prices', true, 'false', 'A hand never sees money.');
  if (role === 'owner' && !seesPrices)
    throw ruleBroken(pointer, 'owner-sees-prices', false, 'true', 'An owner always sees the prices of the books.');
}

function hasEnded(row: MembershipRow, moment: Date): boolean {
  return row.until_at !== null && row.until_at <= moment.toISOString();
}

/** The row of the membership alone. */
function plain(row: NamedMembershipRow | MembershipRow): MembershipRow {
  const {
    name: _name,
    email: _email,
    enrolled_at: _enrolled,
    email_proven_at: _proven,
    vouched_by_operation: _operation,
    vouched_by_name: _by,
    vouched_at: _at,
    ...membership
  } = row as NamedMembershipRow;
  return membership;
}

function accountOf(row: NamedMembershipRow): NonNullable<Answer['account']> {
  return {
    enrolledAt: row.enrolled_at,
    vouchedBy: row.vouched_by_name,
    vouchedHere: row.vouched_by_operation === row.operation_id,
    vouchedAt: row.vouched_at,
  };
}

function answerFrom(
  row: NamedMembershipRow,
  { moment, may, personId }: Pick<OperationTenant, 'moment' | 'may' | 'personId'>,
): Answer {
  const at = moment.toISOString();
  return {
    id: row.id,
    personId: row.person_id,
    name: row.name,
    email: row.email,
    emailProven: row.email_proven_at !== null,
    emailNote: emailNote(row.email_proven_at !== null, row.person_id === personId ? 'own' : 'invited'),
    role: row.role,
    seesPrices: row.sees_prices,
    from: row.from_at,
    until: row.until_at,
    present: row.confirmed_at !== null && row.from_at <= at && (row.until_at === null || row.until_at > at),
    confirmedAt: row.confirmed_at,
    account: may('own') ? accountOf(row) : null,
    version: row.version,
  };
}
