import { Injectable } from '@nestjs/common';
import { maySeePrices, RECOVERED_BY_OWNER } from '../../platform/roles/roles.data.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import { EngagementArchive } from '../engagements/engagement-archive.store.js';
import { EngagementRead } from '../engagements/engagement.read.js';
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
      (row) => answerFrom(row, tenant.moment),
      (row) => [row.id],
    );
  }

  async get(tenant: OperationTenant, { params }: InputOf<typeof api.getMembership>): Promise<Answer> {
    return answerFrom(await this.membershipRead.one(tenant, params.membershipId), tenant.moment);
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
    return answerFrom({ ...after, name: before.name, email: before.email }, tenant.moment);
  }

  async end(
    tenant: OperationTenant,
    { params, body, expectedVersion }: InputOf<typeof api.endMembership>,
  ): Promise<Answer> {
    if (tenant.apiKeyId !== undefined)
      throw new Problem('not-permitted', 'A key cannot end a membership; sign in as a person.');
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
    return answerFrom({ ...after, name: before.name, email: before.email }, tenant.moment);
  }

  /** Ends a membership now, and with it the engagement that it rests on, if there is one. */
  async close(
    tenant: OperationTenant,
    before: MembershipRow,
    { expectedVersion, reason, by }: { expectedVersion: number; reason: string; by: 'operation' | 'consultant' },
  ): Promise<MembershipRow> {
    const endedAt = tenant.moment.toISOString();
    const engagement =
      before.role !== 'nutritionist' ? undefined : await this.engagements.ofMembership(tenant, before.id);
    const kept =
      engagement?.after_end === 'history'
        ? await this.archive.take(tenant, engagement.id, before.person_id)
        : undefined;
    if (engagement !== undefined)
      await this.engagementStore.change(tenant, engagement.id, { state: 'ended', ended_at: endedAt, ended_by: by });
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

  async issueRecoveryToken(
    tenant: OperationTenant,
    { params, body }: InputOf<typeof api.issueRecoveryToken>,
  ): Promise<AnswerOf<typeof api.issueRecoveryToken>> {
    const token = newToken(RECOVERY_PREFIX);
    const membership = await this.membershipRead.one(tenant, params.membershipId);
    if (hasEnded(membership, tenant.moment)) throw new Problem('conflict', 'This membership has ended.');
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

function plain({ name: _name, email: _email, ...row }: MembershipRow & Partial<NamedMembershipRow>): MembershipRow {
  return row;
}

function answerFrom(row: NamedMembershipRow, moment: Date): Answer {
  const at = moment.toISOString();
  return {
    id: row.id,
    personId: row.person_id,
    name: row.name,
    email: row.email,
    role: row.role,
    seesPrices: row.sees_prices,
    from: row.from_at,
    until: row.until_at,
    present: row.from_at <= at && (row.until_at === null || row.until_at > at),
    version: row.version,
  };
}
